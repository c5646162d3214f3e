/** The same descent with one thing changed: what brings it back within, and what does not. */
import { rotorSizesMm, type Descent, type DescentBrake } from '../../evidence/index.ts';
import { mpsToKmh } from '../../units/index.ts';
import type { DescentBand } from './band.ts';
import type { Rest } from './braking.ts';
import type { DescentVariant } from './result.ts';

/** A descent to be tried in place of the sheet's. */
export interface Trial {
  kind: DescentVariant['kind'];
  change: string;
  sheet: Descent;
  rests: Rest[];
}

/** A brake of another size: what was given for the old one does not go with it. */
const sized = (brake: DescentBrake, rotorMm: DescentBrake['rotorMm']): DescentBrake =>
  brake.rotorMm >= rotorMm
    ? brake
    : {
        ...brake,
        rotorMm,
        trackWidthM: null,
        trackThicknessM: null,
        trackMassKg: null,
        carrierMassKg: null,
      };
const steel = (brake: DescentBrake): DescentBrake =>
  brake.build === 'steel'
    ? brake
    : { ...brake, build: 'steel', trackThicknessM: null, trackMassKg: null, carrierMassKg: null };
const metal = (brake: DescentBrake): DescentBrake => ({ ...brake, pads: 'metal' });

const both = (sheet: Descent, change: (brake: DescentBrake) => DescentBrake): Descent => ({
  ...sheet,
  front: change(sheet.front),
  rear: change(sheet.rear),
});

const largest = rotorSizesMm[rotorSizesMm.length - 1];
const restS = 600;

/** Everything that is tried, from the least change to all of them; never a faster ride. */
export function trialsOf(sheet: Descent, lengthM: number): Trial[] {
  const trials: Trial[] = [];
  const add = (kind: Trial['kind'], change: string, changed: Descent, rests: Rest[] = []): void => {
    trials.push({ kind, change, sheet: changed, rests });
  };
  const { front, rear, plan, frontShare } = sheet;
  const smallest = Math.min(front.rotorMm, rear.rotorMm);
  for (const size of [160, 180, 203] as const) {
    if (size > smallest)
      add(
        'size',
        `rotors of ${size} mm`,
        both(sheet, (brake) => sized(brake, size)),
      );
  }
  if (front.build === 'layered' || rear.build === 'layered')
    add('build', 'steel rotors', both(sheet, steel));
  if (front.pads === 'resin' || rear.pads === 'resin')
    add('pads', 'metal pads', both(sheet, metal));
  for (const share of [0.6, 0.5]) {
    if (Math.abs(share - frontShare) > 0.04 && frontShare > 0.5)
      add('split', `${100 * share} % of the braking in front`, { ...sheet, frontShare: share });
  }
  const lengthening = (parts: number): Rest[] =>
    Array.from({ length: parts - 1 }, (_, i) => ({
      afterM: ((i + 1) * lengthM) / parts,
      seconds: restS,
    }));
  if (plan.kind !== 'ride') {
    for (const share of [0.8, 0.6]) {
      const slower = { kind: 'drag', speedMps: share * plan.speedMps } as const;
      add('speed', `dragging at ${mpsToKmh(slower.speedMps).toFixed(0)} km/h`, {
        ...sheet,
        plan: slower,
      });
    }
    for (const parts of [2, 4]) {
      const word = parts === 2 ? 'a stop' : `${parts - 1} stops`;
      add(
        'rests',
        `${word} of ${restS / 60} min on the way`,
        { ...sheet, plan: { kind: 'drag', speedMps: plan.speedMps } },
        lengthening(parts),
      );
    }
  }
  const strongest = both(sheet, (brake) => metal(steel(sized(brake, largest))));
  add(
    'together',
    plan.kind === 'ride'
      ? `steel rotors of ${largest} mm with metal pads, half the braking in front`
      : `steel rotors of ${largest} mm with metal pads, half the braking in front, 3 stops of ${restS / 60} min`,
    {
      ...strongest,
      frontShare: Math.min(0.5, frontShare),
      plan: plan.kind === 'ride' ? plan : { kind: 'drag', speedMps: plan.speedMps },
    },
    plan.kind === 'ride' ? [] : lengthening(4),
  );
  return trials;
}

/** A trial as it is shown. */
export function variantOf(
  { kind, change }: Pick<Trial, 'kind' | 'change'>,
  { front, rear, verdict }: DescentBand,
): DescentVariant {
  return {
    kind,
    change,
    verdict,
    frontPeakC: front.centre.peakC,
    frontPeakCi95: front.peakCi95,
    rearPeakC: rear.centre.peakC,
    rearPeakCi95: rear.peakCi95,
  };
}
