/** From a track's sums to what people are told of it. */
import type { ToneTrack } from '../evidence/index.ts';
import { decibels } from './levels.ts';
import type { TrackRecord } from './track-record.ts';

export interface FrameTimes {
  hopS: number;
  frameS: number;
}

/** Sightings that the expected scatter counts for beside the scatter seen. */
const priorSightings = 6;

/** The finished track. `harmonicOf` is filled in later, when all tracks are known. */
export function summarise(record: TrackRecord, { hopS, frameS }: FrameTimes): ToneTrack {
  const n = record.sightings;
  const hz = record.wf / record.w;
  const spread = record.w * record.wtt - record.wt * record.wt;
  const slope = spread > 0 ? (record.w * record.wtf - record.wt * record.wf) / spread : 0;
  const middle = (frame: number): number => frame * hopS + frameS / 2;
  return {
    startS: middle(record.firstFrame) - hopS / 2,
    endS: middle(record.lastFrame) + hopS / 2,
    hz,
    standardUncertaintyHz: uncertainty(record),
    driftHzPerS: slope / hopS,
    levelDb: decibels(Math.sqrt(record.w / n)),
    toneToNoiseDb: 10 * Math.log10(record.w / record.noise),
    timeS: record.frame.map(middle),
    frequencyHz: [...record.hz],
    frameLevelDb: record.power.map((power) => decibels(Math.sqrt(power))),
    harmonicOf: null,
    harmonic: null,
  };
}

/**
 * Standard uncertainty of the mean frequency: scatter of the frames about a smooth course (second differences, so that a
 * glide is no scatter), shrunk towards and never below what noise at that level must cause, over the root of the frames. Frames that
 * share half their samples err against each other (correlation −0.21, by simulation), which is not made use of; few frames know
 * their scatter badly, hence the last factor. Coverage is measured in test/core/signal/uncertainty.test.ts.
 */
function uncertainty(record: TrackRecord): number {
  const n = record.sightings;
  const expected = record.variance / n;
  const seen = record.bends > 0 ? record.bend / record.bends / 6 : 0;
  const pooled =
    (priorSightings * expected + record.bends * seen) / (priorSightings + record.bends);
  return Math.sqrt((Math.max(pooled, expected) / n) * (1 + 6 / n));
}
