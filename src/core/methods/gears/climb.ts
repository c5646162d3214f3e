/** One climb: how fast the rider's power goes up it, and how the cranks turn in the gears there are. */
import type { ClimbRider, SteadyClimb } from '../../evidence/index.ts';
import { propagateUncertainty } from '../../statistics/index.ts';
import { mpsToKmh, type Interval } from '../../units/index.ts';
import {
  cadenceAtSpeedRpm,
  climbingPowerW,
  climbingSpeedMps,
  speedAtCadenceMps,
  type Climbing,
  type Gear,
} from './model.ts';
import { compare, valueOf } from './ratio.ts';
import type { ClimbRow } from './result.ts';

interface Estimate {
  value: number;
  ci95: Interval;
}

/** `gears`: easiest first. `circumference`: metres, with its standard uncertainty. */
export function climbRow(
  climb: SteadyClimb,
  rider: ClimbRider,
  gears: readonly Gear[],
  circumference: { valueM: number; standardUncertaintyM: number },
): ClimbRow {
  const inputs = [
    { name: 'mass', value: rider.massKg, standardUncertainty: rider.massStandardUncertaintyKg },
    { name: 'power', value: rider.powerW, standardUncertainty: rider.powerStandardUncertaintyW },
    { name: 'crr', value: rider.crr, standardUncertainty: rider.crrStandardUncertainty },
    { name: 'cda', value: rider.cdaM2, standardUncertainty: rider.cdaStandardUncertaintyM2 },
    {
      name: 'efficiency',
      value: rider.drivetrainEfficiency,
      standardUncertainty: rider.drivetrainEfficiencyStandardUncertainty,
    },
    {
      name: 'gradient',
      value: climb.gradient,
      standardUncertainty: climb.gradientStandardUncertainty,
    },
    {
      name: 'circumference',
      value: circumference.valueM,
      standardUncertainty: circumference.standardUncertaintyM,
    },
  ];
  type Of = (road: Climbing, powerW: number, scale: number) => number;
  /** `scale`: the circumference against that of the gears. On the logarithm: every answer is positive. */
  const estimate = (of: Of): Estimate => {
    const { value, standardUncertainty } = propagateUncertainty({
      model: ([massKg, powerW, crr, cdaM2, drivetrainEfficiency, gradient, metres]) =>
        Math.log(
          of(
            {
              massKg,
              crr,
              cdaM2,
              drivetrainEfficiency,
              // The difference quotient may step below level ground on the gentlest climbs.
              gradient: Math.max(0, gradient),
              airDensityKgM3: rider.airDensityKgM3,
            },
            powerW,
            metres / circumference.valueM,
          ),
        ),
      inputs,
    });
    const half = 1.959964 * standardUncertainty;
    return { value: Math.exp(value), ci95: [Math.exp(value - half), Math.exp(value + half)] };
  };
  const [easiest] = gears;
  const least = rider.leastCadenceRpm;
  const speed = estimate((road, powerW) => climbingSpeedMps(road, powerW));
  const cadence = estimate(
    (road, powerW, scale) =>
      cadenceAtSpeedRpm(easiest.developmentM, climbingSpeedMps(road, powerW)) / scale,
  );
  const power = estimate((road, _, scale) =>
    climbingPowerW(road, scale * speedAtCadenceMps(easiest.developmentM, least)),
  );
  const needed = estimate(
    (road, powerW, scale) =>
      (60 * climbingSpeedMps(road, powerW)) / (least * circumference.valueM * scale),
  );
  const smallest = Math.min(...gears.map(({ chainring }) => chainring));
  const hardest = gears
    .filter(({ ratio }) => valueOf(ratio) <= needed.value)
    .sort((a, b) => compare(b.ratio, a.ratio) || a.chainring - b.chainring)
    .at(0);
  const kmh = ({ ci95 }: Estimate): Interval => [mpsToKmh(ci95[0]), mpsToKmh(ci95[1])];
  return {
    name: climb.name,
    gradientPercent: 100 * climb.gradient,
    lengthM: climb.lengthM,
    speedKmh: mpsToKmh(speed.value),
    speedKmhCi95: kmh(speed),
    timeS: climb.lengthM / speed.value,
    timeSCi95: [climb.lengthM / speed.ci95[1], climb.lengthM / speed.ci95[0]],
    easiestGear: { chainring: easiest.chainring, sprocket: easiest.sprocket },
    cadenceRpm: cadence.value,
    cadenceRpmCi95: cadence.ci95,
    powerAtLeastCadenceW: power.value,
    powerAtLeastCadenceWCi95: power.ci95,
    hardestGear:
      hardest === undefined
        ? null
        : {
            chainring: hardest.chainring,
            sprocket: hardest.sprocket,
            cadenceRpm: cadenceAtSpeedRpm(hardest.developmentM, speed.value),
          },
    neededRatio: needed.value,
    neededRatioCi95: needed.ci95,
    neededSprocket: Math.ceil(smallest / needed.value - 1e-9),
    verdict: cadence.ci95[0] >= least ? 'turns' : cadence.ci95[1] < least ? 'too hard' : 'marginal',
  };
}
