import type { NoiseTruth } from '../src/simulation/index.ts';
import { caseOf } from './noise-case.ts';
import type { NoiseEstimator, NoiseJob, NoiseVerdict } from './noise-case.ts';
import { countCoverage, percent } from './coverage-statistics.ts';

export interface NoiseScore {
  job: NoiseJob;
  cause: string;
  /** Largest odds and whose; null when nothing was heard. */
  first: { id: string; odds: number } | null;
  right: boolean;
  /** Odds given to the true cause, 0 when nothing was heard. */
  oddsOfTruth: number;
  /** Whether some tone found lies on the cause's tone, in time and within 3 %. */
  toneHeard: boolean;
  /** Tones found that lie on no true tone or harmonic, by what happened meanwhile. */
  falseTones: { hz: number; seconds: number; during: 'voice' | 'car' | 'neither' }[];
  /** Tones found on a multiple of the freehub's ticks: truly there, and not what was asked about. */
  freehubTones: number;
  seconds: number;
}

const overlap = (a: { from: number; to: number }, from: number, to: number): number =>
  Math.min(a.to, to) - Math.max(a.from, from);

/** Whether a tone found is a true one, or one of its first four harmonics: some 3 % off at most while both sound. */
function lies(tone: NoiseVerdict['tones'][number], truth: NoiseTruth['tones'][number]): boolean {
  return truth.bursts.some(
    ({ startS, endS }) =>
      overlap(tone, startS - 0.2, endS + 0.2) > 0 &&
      truth.hz.some((hz, i) => {
        if (truth.timeS[i] < tone.from - 0.2 || truth.timeS[i] > tone.to + 0.2) return false;
        return [1, 2, 3, 4].some((h) => Math.abs(Math.log(tone.hz / (h * hz))) < 0.03);
      }),
  );
}

/** Whether a tone found goes with the ticks of the freehub: within 2 % of a multiple up to the sixth, at mid-tone. */
function ticks(tone: NoiseVerdict['tones'][number], truth: NoiseTruth): boolean {
  const { timeS, speedMps } = truth.brakeTorque;
  const i = Math.min(timeS.length - 1, Math.round(5 * (tone.from + tone.to)));
  const times = tone.hz / (truth.freehubTicksPerM * speedMps[i]);
  return times > 0.9 && times < 6.2 && Math.abs(times - Math.round(times)) < 0.06;
}

/** Holds a verdict against the truth. */
export function scoreVerdict(
  job: NoiseJob,
  truth: NoiseTruth,
  { tones, causes }: NoiseVerdict,
): Omit<NoiseScore, 'seconds'> {
  const first = causes.reduce<NoiseScore['first']>(
    (best, one) => (best === null || one.odds > best.odds ? one : best),
    null,
  );
  const strange = tones.filter((tone) => !truth.tones.some((own) => lies(tone, own)));
  const freehub = strange.filter((tone) => ticks(tone, truth));
  const causing = truth.tones.filter(({ name }) => name !== 'stray');
  return {
    job,
    cause: truth.cause,
    first: first && { id: first.id, odds: first.odds },
    right: first?.id === truth.cause,
    oddsOfTruth: causes.find(({ id }) => id === truth.cause)?.odds ?? 0,
    toneHeard: tones.some((tone) => causing.some((own) => lies(tone, own))),
    freehubTones: freehub.length,
    falseTones: strange
      .filter((tone) => !freehub.includes(tone))
      .map((tone) => {
        const meanwhile = truth.passers.filter(
          ({ startS, endS }) => overlap(tone, startS, endS) > 0.3 * (tone.to - tone.from),
        );
        const voice = meanwhile.some(({ kind }) => kind === 'voice');
        const during = voice ? 'voice' : meanwhile.length > 0 ? 'car' : 'neither';
        return { hz: tone.hz, seconds: tone.to - tone.from, during };
      }),
  };
}

/** Makes the ride of a job, asks the estimator and scores it. `seconds` is the estimator's part alone. */
export function scoreJob(job: NoiseJob, estimate: NoiseEstimator): NoiseScore {
  const { evidence, truth } = caseOf(job);
  // Making the sound is not part of judging it.
  const blocks = [...evidence.blocks()];
  const started = performance.now();
  const verdict = estimate({ ...evidence, blocks: () => blocks });
  const seconds = (performance.now() - started) / 1000;
  return { ...scoreVerdict(job, truth, verdict), seconds };
}

export const oddsBins = [0, 0.35, 0.5, 0.65, 0.75, 0.85, 0.95, 1.0001];

export interface CalibrationRow {
  low: number;
  high: number;
  count: number;
  meanOdds: number;
  right: number;
  /** 95 % interval of the share that is right (Wilson 1927). */
  interval: [number, number];
  text: string;
}

/** How often a call of given odds is right. */
export function calibration(
  calls: { odds: number; right: boolean }[],
  edges: number[] = oddsBins,
): CalibrationRow[] {
  return edges.slice(0, -1).map((low, i) => {
    const high = edges[i + 1];
    const own = calls.filter(({ odds }) => odds >= low && odds < high);
    const share = countCoverage(own.map(({ right }) => [right]));
    return {
      low,
      high: Math.min(1, high),
      count: own.length,
      meanOdds: own.reduce((sum, { odds }) => sum + odds, 0) / own.length,
      right: share.share,
      interval: [share.low, share.high],
      text: share.text,
    };
  });
}

/** Of a share, `91.0 % (85.2 to 94.6)`. */
export const shareText = (of: boolean[]): string => countCoverage(of.map((one) => [one])).text;

export { percent };
