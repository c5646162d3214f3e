/** Peaks of neighbouring frames linked into tracks, and which of them noise could not have made. */
import type { PeakList } from './peaks.ts';
import { addSighting, newRecord, type Sighting, type TrackRecord } from './track-record.ts';

export interface LinkingRules {
  binHz: number;
  hopS: number;
  frameSamples: number;
  mostDriftHzPerS: number;
  longestGapS: number;
  /** Mean-square noise in the critical band around a frequency, given |X|² of noise there. */
  criticalNoise(hz: number, floor: number): number;
}

interface Followed {
  record: TrackRecord;
  at: number;
  slope: number;
  missed: number;
  /** Frequencies of the last two frames, NaN where it was not seen, for the second difference. */
  before: number;
  last: number;
}

/** A sighting far above the noise counts no more than this, so that one bang cannot make a tone. */
const mostPerSighting = 12;
/** Peaks that noise offers within the gate of a prediction, as a logarithm, on the safe side. */
const chancesInGate = 2;
const missing = 1;
/**
 * Evidence needed. Under noise a peak's power over the floor is exponential, so the evidence of a chain of sightings is
 * minus the logarithm of its chance; a frame offers some 2000 bins to start from and ten minutes have 7000 frames:
 * ln 14e6 = 16.5. The rest is for noise that is not Gaussian and a floor that is not exact.
 */
const evidenceNeeded = 24;
/** Least that a candidate must have to be kept for `mergeAnalyses`, which knows where tones are; see `evidenceNear`. */
const evidenceOfCandidate = 16;
const sightingsNeeded = 6;
const shortestS = 0.5;
/** Share of the frames in which a track must have been seen. */
const shareNeeded = 0.55;
/**
 * A narrow band of noise (a resonance that wind or road excites) wanders from frame to frame more than a tone in noise does: its variance
 * against the tone's. Asked of short tracks only: one that lasts may wobble.
 */
const mostWander = 5;
/** Wander in bins that is nothing against a tone however loud it is: frames half filled by its start and end do that. A bin is 1/(2 hop). */
const steadyBins = 0.2;
const lasting = 16;
/** Finished tracks kept while reading; twice what a result shows by default. */
const mostFinished = 2000;

export interface Linker {
  /** `mean`: |X|² of noise by bin. `counts`: whether tracks may start and be kept yet. */
  step(frame: number, peaks: PeakList, mean: Float64Array, counts: boolean): void;
  finish(): { tracks: TrackRecord[]; leftOut: number };
}

export function linker(rules: LinkingRules, bins: number): Linker {
  const { binHz, hopS } = rules;
  const steepest = (rules.mostDriftHzPerS * hopS) / binHz;
  const longestGap = Math.max(1, Math.round(rules.longestGapS / hopS));
  const peakAt = new Int32Array(bins).fill(-1);
  const ofBins = binHz * binHz;
  let followed: Followed[] = [];
  const finished: TrackRecord[] = [];
  let leftOut = 0;
  let firstCounted = -1;

  function sighting(frame: number, peaks: PeakList, mean: Float64Array, i: number): Sighting {
    const hz = peaks.at[i] * binHz;
    const tone = Math.max(peaks.excess[i] - 1, 0.5);
    return {
      frame,
      hz,
      power: peaks.power[i],
      noise: rules.criticalNoise(hz, mean[peaks.bin[i]]),
      variance: ofBins * frameVariance(tone),
    };
  }

  function close(one: Followed): void {
    const { record } = one;
    if (firstCounted < 0) return;
    // A piece at a seam may be the rest of a tone: whether it is one is decided when the parts are joined.
    if (
      record.openStart || record.openEnd
        ? record.sightings < 2
        : !isTone(record, hopS, evidenceOfCandidate)
    )
      return;
    finished.push(record);
    if (finished.length > mostFinished) {
      finished.sort((a, b) => b.evidence - a.evidence);
      leftOut += finished.length - mostFinished / 2;
      finished.length = mostFinished / 2;
    }
  }

  return {
    step(frame, peaks, mean, counts) {
      if (counts && firstCounted < 0) {
        firstCounted = frame;
        // What came before belongs to another part; a tone that is sounding now starts here for us.
        for (const one of followed) {
          one.record = { ...one.record, sightings: 0 };
        }
      }
      for (let i = 0; i < peaks.count; i++) peakAt[peaks.bin[i]] = i;
      const kept: Followed[] = [];
      for (const one of followed) {
        const young = one.record.sightings < 3;
        const predicted = one.at + one.slope;
        const gate = 1.3 + 0.25 * one.missed + (young ? steepest * (1 + one.missed) * 0.7 : 0);
        const i = nearest(peakAt, peaks, predicted, gate);
        if (i < 0) {
          one.at = predicted;
          one.before = one.last;
          one.last = NaN;
          one.missed++;
          if (one.missed > (young ? 1 : longestGap)) close(one);
          else kept.push(one);
          continue;
        }
        peakAt[peaks.bin[i]] = -1;
        const off = peaks.at[i] - predicted;
        one.slope = clamp(one.slope + (young ? 0.5 : 0.2) * off, steepest);
        one.at = predicted + (young ? 0.9 : 0.7) * off;
        const seen = sighting(frame, peaks, mean, i);
        if (firstCounted >= 0 && one.record.sightings === 0) {
          one.record = newRecord(seen, true);
        } else {
          addSighting(one.record, seen);
          one.record.evidence +=
            Math.min(peaks.excess[i], mostPerSighting) - chancesInGate - missing * one.missed;
        }
        const bend = one.before - 2 * one.last + seen.hz;
        if (Number.isFinite(bend)) {
          one.record.bend += bend * bend;
          one.record.bends++;
        }
        one.before = one.last;
        one.last = seen.hz;
        one.missed = 0;
        kept.push(one);
      }
      for (let i = 0; i < peaks.count; i++) {
        if (peakAt[peaks.bin[i]] < 0) continue;
        peakAt[peaks.bin[i]] = -1;
        const seen = sighting(frame, peaks, mean, i);
        const record = newRecord(seen, frame === firstCounted && frame > 0);
        record.evidence = Math.min(peaks.excess[i], mostPerSighting) - chancesInGate;
        kept.push({ record, at: peaks.at[i], slope: 0, missed: 0, before: NaN, last: seen.hz });
      }
      // The most certain choose first in the next frame.
      followed = kept.sort((a, b) => b.record.evidence - a.record.evidence);
    },
    finish() {
      for (const one of followed) {
        if (one.record.sightings === 0) continue;
        one.record.openEnd = true;
        close(one);
      }
      followed = [];
      return { tracks: finished, leftOut };
    },
  };
}

/**
 * Evidence needed where only that share of all bins is asked: chance has that much less room, so the logarithm of the
 * share is taken off.
 */
export function evidenceNear(share: number): number {
  return Math.max(evidenceOfCandidate, evidenceNeeded + Math.log(Math.min(1, share)));
}

/** Whether noise could not have made it; see `evidenceNeeded`. */
export function isTone(record: TrackRecord, hopS: number, needed = evidenceNeeded): boolean {
  const frames = record.lastFrame - record.firstFrame + 1;
  const wanders =
    record.sightings < lasting &&
    record.bends > 1 &&
    record.bend / record.bends / 6 >
      (mostWander * record.variance) / record.sightings + (steadyBins / (2 * hopS)) ** 2;
  return (
    record.sightings >= sightingsNeeded &&
    frames * hopS >= shortestS &&
    record.evidence >= needed &&
    record.sightings >= shareNeeded * frames &&
    !wanders
  );
}

/**
 * Variance in bins² of one frame's frequency. The bound of Cramér and Rao for a sinusoid in white noise (Rife & Boorstyn
 * 1974, IEEE Trans. Inf. Theory 20:591: var ω ≥ 24σ²/(A²N³) for real samples) is 1/(π²E) in bins², E being the tone's |X|²
 * over the noise's in a Hann-windowed frame; the three-bin formula in a Hann window has about three times that (a window that ends
 * gently leaves the ends of the frame unused, where frequency shows most).
 */
export function frameVariance(toneOverNoise: number): number {
  return estimatorOverBound / (Math.PI ** 2 * toneOverNoise);
}
const estimatorOverBound = 3;

function nearest(peakAt: Int32Array, peaks: PeakList, predicted: number, gate: number): number {
  let best = -1;
  let least = gate;
  const low = Math.max(0, Math.ceil(predicted - gate - 1));
  const high = Math.min(peakAt.length - 1, Math.floor(predicted + gate + 1));
  for (let k = low; k <= high; k++) {
    const i = peakAt[k];
    if (i < 0) continue;
    const off = Math.abs(peaks.at[i] - predicted);
    if (off <= least) {
      least = off;
      best = i;
    }
  }
  return best;
}

function clamp(x: number, most: number): number {
  return Math.min(most, Math.max(-most, x));
}
