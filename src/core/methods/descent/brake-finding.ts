import type { Descent } from '../../evidence/index.ts';
import { effusivity, surfaceRise, type CoolingAir } from '../../physics/index.ts';
import { kmhToMps, type Interval } from '../../units/index.ts';
import { middle95, type BrakeBand, type DescentBand } from './band.ts';
import { thresholdsC, type PreparedDescent } from './heat.ts';
import { secondsUntil, type InARow } from './in-a-row.ts';
import type { DescentBrakeFinding } from './result.ts';
import type { Guess } from './spread.ts';

const coolBelowC = [100, 50];
const rollingMps = kmhToMps(25);
/** Length of a pad along the track, m: ours, no source. */
const padLengthM = 0.025;

/** Mean speed over the time of the descent, waits included. */
export const mpsMean = ({ steps }: PreparedDescent): number => {
  const whole = steps.dtS.reduce((sum, one) => sum + one, 0);
  return steps.speedMps.reduce((sum, one, i) => sum + one * steps.dtS[i], 0) / whole;
};

/** What one brake goes through, and how it cools afterwards. */
export function brakeFinding(
  position: 'front' | 'rear',
  sheet: Descent,
  descent: PreparedDescent,
  band: DescentBand,
  cooling: { guesses: Guess[]; ends: InARow['ends'] },
  air: CoolingAir,
): DescentBrakeFinding {
  const own: BrakeBand = band[position];
  const { centre } = own;
  const { body } = descent[position];
  const durationS = descent.steps.dtS.reduce((sum, one) => sum + one, 0);
  const byThreshold = <T>(of: (k: number) => T): Record<string, T> =>
    Object.fromEntries(thresholdsC.map((limit, k) => [String(limit), of(k)]));
  const [standing, rolling] = [0, rollingMps].map((speedMps) =>
    cooling.guesses.map((guess, i) =>
      secondsUntil(cooling.ends[i][position], coolBelowC, air, speedMps, guess, sheet.wheelRadiusM),
    ),
  );
  const times = (from: number[][], k: number): Interval => {
    const [low, high] = middle95(from.slice(1).map((one) => one[k]));
    return [Math.min(low, from[0][k]), Math.max(high, from[0][k])];
  };
  // How fast the track runs under the pads at the hottest step, and for how long a place stays there.
  const rubbingMps =
    (Math.max(1, mpsMean(descent)) * (body.diameterM - body.trackWidthM)) / 2 / sheet.wheelRadiusM;
  return {
    rotorMm: sheet[position].rotorMm,
    build: sheet[position].build,
    pads: sheet[position].pads,
    trackMassKg: body.track.steelKg + body.track.aluminiumKg,
    peakC: centre.peakC,
    peakCi95: own.peakCi95,
    peakAtS: centre.peakAtS,
    endC: trackEnd(centre.trackC, descent.airC),
    secondsAbove: byThreshold((k) => centre.secondsAbove[k]),
    secondsAboveCi95: byThreshold((k) => own.secondsAboveCi95[k]),
    limitReachedS: Number.isFinite(centre.reachedS) ? centre.reachedS : null,
    limitReachedEarlyS: Number.isFinite(own.reachedEarlyS) ? own.reachedEarlyS : null,
    padsPeakC: centre.padsPeakC,
    padsPeakCi95: own.padsPeakCi95,
    caliperPeakC: centre.caliperPeakC,
    caliperPeakCi95: own.caliperPeakCi95,
    heatedJ: centre.heatedJ,
    heatedCi95: own.heatedCi95,
    meanPowerW: centre.heatedJ / durationS,
    greatestPowerW: centre.greatestW,
    surfaceExtraK: surfaceRise(
      centre.greatestW / body.padFaceM2,
      padLengthM / rubbingMps,
      effusivity(25, 7750, 460),
    ),
    coolDown: coolBelowC.map((belowC, k) => ({
      belowC,
      standingS: standing[0][k],
      standingCi95: times(standing, k),
      rollingS: rolling[0][k],
      rollingCi95: times(rolling, k),
    })),
  };
}

const trackEnd = (trace: Float64Array | null, airC: number): number => trace?.at(-1) ?? airC;
