/** Which of the tracks found are believed: those of short and long frames as one list, weak ones where tones are known. */
import type { ToneTrack } from '../evidence/index.ts';
import type { AnalysisPart } from './analysis.ts';
import { deepGrid } from './frames.ts';
import { evidenceNear, isTone } from './linking.ts';
import { joinRecords, type TrackRecord } from './track-record.ts';
import { summarise, type FrameTimes } from './track-summary.ts';
import { meanWithin, partVoices, type Voice } from './voices.ts';

interface Grid extends FrameTimes {
  binHz: number;
}

interface Found {
  record: TrackRecord;
  grid: Grid;
  deep: boolean;
  track: ToneTrack;
}

/** The believed tracks of all parts, by time of start, and how many more there were. */
export function tracksOf(
  parts: readonly AnalysisPart[],
  durationS: number,
): { tracks: ToneTrack[]; voices: Voice[]; leftOut: number } {
  const [{ sampleRateHz, frameSamples, hopSamples, mostTracks }] = parts;
  const wide = {
    hopS: hopSamples / sampleRateHz,
    frameS: frameSamples / sampleRateHz,
    binHz: sampleRateHz / frameSamples,
  };
  const own = deepGrid(sampleRateHz);
  const slowHz = sampleRateHz / own.factor;
  const deep = {
    hopS: own.hopSamples / slowHz,
    frameS: own.frameSamples / slowHz,
    binHz: slowHz / own.frameSamples,
  };
  const foundIn = (grid: Grid, isDeep: boolean): Found[] =>
    joined(
      parts.map(({ tracks, deepTracks }) => ({
        tracks: isDeep ? deepTracks : tracks,
        binHz: grid.binHz,
      })),
    )
      .sort((a, b) => b.evidence - a.evidence)
      .map((record) => ({ record, grid, deep: isDeep, track: summarise(record, grid) }));
  const all = [...foundIn(wide, false), ...foundIn(deep, true)];
  const strict = withoutDoubles(all.filter(({ record, grid }) => isTone(record, grid.hopS)));
  const believed = strict.slice(0, mostTracks).map(({ track }) => track);
  const faint = all.filter((one) => !one.deep && !strict.includes(one)).map(({ track }) => track);
  const { tones, voices } = partVoices(believed, faint);
  const certain = recurring(tones, durationS);
  const weak = weakOf(all, certain, wide.binHz, frameSamples);
  const tracks = [...certain, ...weak].slice(0, mostTracks);
  tracks.sort((a, b) => a.startS - b.startS || a.hz - b.hz);
  return { tracks, voices, leftOut: Math.max(0, strict.length - mostTracks) };
}

/** Two tracks nearer than this many bins of the short frames may be one tone seen twice. */
const oneTone = 1.4;
/** Share of what long frames saw that short ones must have seen to be enough. */
const coverNeeded = 0.75;

/**
 * What short and long frames both saw is told once: by the short ones, which follow a glide and have the quieter skirts, unless the long
 * ones part it into tones that sound at once or saw clearly more of it. Most certain first.
 */
function withoutDoubles(found: readonly Found[]): Found[] {
  const deep = found.filter((one) => one.deep);
  const wide = found.filter((one) => !one.deep);
  const same = (a: Found, b: Found): boolean =>
    overlapOf(a.track, b.track) > 0 &&
    Math.abs(meanWithin(a.track, b.track) - meanWithin(b.track, a.track)) <
      oneTone * (wide[0]?.grid.binHz ?? 0);
  const gone = new Set<Found>();
  for (const one of wide) {
    const doubles = deep.filter((other) => !gone.has(other) && same(one, other));
    if (doubles.length === 0) continue;
    const tracks = doubles.map(({ track }) => track);
    const parted = tracks.some((a, i) =>
      tracks.some((b, j) => j > i && overlapOf(a, b) > togetherNeeded * lengthOf(one.track)),
    );
    const others = wide.filter((other) => doubles.some((double) => same(other, double)));
    const seenByShort = tracks.reduce(
      (sum, track) =>
        sum +
        coveredS(
          track,
          others.map((other) => other.track),
        ),
      0,
    );
    const seenByLong = tracks.reduce((sum, track) => sum + lengthOf(track), 0);
    const covered = coveredS(one.track, tracks) >= longNeeded * lengthOf(one.track);
    if (covered && (parted || seenByShort < coverNeeded * seenByLong)) gone.add(one);
    else doubles.forEach((double) => gone.add(double));
  }
  return found
    .filter((one) => !gone.has(one))
    .sort((a, b) => b.record.evidence - a.record.evidence);
}

/** Parted tones sound together for this part of what was taken for one. */
const togetherNeeded = 0.3;
/** Part of a short frames' track that long ones must have seen to speak for it. */
const longNeeded = 0.6;

const lengthOf = ({ startS, endS }: ToneTrack): number => endS - startS;
const overlapOf = (a: ToneTrack, b: ToneTrack): number =>
  Math.min(a.endS, b.endS) - Math.max(a.startS, b.startS);

/** Seconds of a track in which some of the others sound. */
function coveredS(track: ToneTrack, others: readonly ToneTrack[]): number {
  let covered = 0;
  let until = track.startS;
  for (const { startS, endS } of [...others].sort((a, b) => a.startS - b.startS)) {
    const from = Math.max(until, startS);
    const to = Math.min(track.endS, endS);
    if (to > from) covered += to - from;
    until = Math.max(until, to);
  }
  return covered;
}

/** A weak tone is looked for this near the pitch of a certain one, in ln f. */
const nearPitch = 0.03;

/**
 * Tones too weak to be believed anywhere, but not where tones of this recording lie: what howled once howls again.
 * Less evidence is needed by the logarithm of the share of all bins that is looked at.
 */
function weakOf(
  all: readonly Found[],
  certain: readonly ToneTrack[],
  binHz: number,
  frameSamples: number,
): ToneTrack[] {
  const near = new Set<number>();
  const binOf = (hz: number): number => Math.round(hz / binHz);
  for (const { hz } of certain)
    for (let k = binOf(hz * (1 - nearPitch)); k <= binOf(hz * (1 + nearPitch)); k++) near.add(k);
  const needed = evidenceNear((2 * near.size) / frameSamples);
  const weak = all.filter(
    ({ record, grid, track }) =>
      near.has(binOf(track.hz)) &&
      !isTone(record, grid.hopS) &&
      isTone(record, grid.hopS, needed) &&
      !certain.some(
        (one) =>
          overlapOf(one, track) > 0 &&
          Math.abs(meanWithin(one, track) - meanWithin(track, one)) < oneTone * binHz,
      ),
  );
  return weak.length === 0 ? [] : withoutDoubles(weak).map(({ track }) => track);
}

/** Tracks of all parts; one open at the end of a part and one open at the start of the next are one if they meet. */
function joined(
  parts: readonly { tracks: readonly TrackRecord[]; binHz: number }[],
): TrackRecord[] {
  let records: TrackRecord[] = [];
  for (const part of parts) {
    const open = records.filter((record) => record.openEnd);
    const rest = records.filter((record) => !record.openEnd);
    const arriving = [...part.tracks];
    const { binHz } = part;
    for (const one of open) {
      const last = one.hz[one.hz.length - 1];
      let best = -1;
      let least = 2.5 * binHz;
      arriving.forEach((other, i) => {
        const off = Math.abs(other.hz[0] - last);
        if (other.openStart && off < least) {
          best = i;
          least = off;
        }
      });
      rest.push(
        best < 0 ? { ...one, openEnd: false } : joinRecords(one, arriving.splice(best, 1)[0]),
      );
    }
    records = [...rest, ...arriving];
  }
  return records;
}

/** A tone this long needs no witness; nor does any in a recording shorter than `longS`, which has few chances to mislead. */
const convincingS = 1.5;
const longS = 60;
const samePitch = 0.04;

/**
 * Leaves out short tones of which the recording has no second at that pitch at another time. What rings on a bicycle rings again; a word called out
 * or a passing horn does not. Harmonics are heard with their fundamental and recur with it.
 */
function recurring(tracks: readonly ToneTrack[], durationS: number): ToneTrack[] {
  if (durationS < longS) return [...tracks];
  return tracks.filter(
    (track) =>
      track.endS - track.startS >= convincingS ||
      tracks.some(
        (other) =>
          other !== track &&
          Math.abs(Math.log(other.hz / track.hz)) < samePitch &&
          (other.startS >= track.endS || other.endS <= track.startS),
      ),
  );
}
