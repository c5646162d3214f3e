import type { Descent } from '../../evidence/index.ts';
import type { CoolingAir } from '../../physics/index.ts';
import type { Doubt } from './band.ts';
import { mpsMean } from './brake-finding.ts';
import { convectionAt, publishedConvection } from './convection-band.ts';
import type { CoolDownFit } from './cool-down-fit.ts';
import type { PreparedDescent } from './heat.ts';
import { bodyOf } from './parts.ts';
import type { DescentFinding } from './result.ts';

/** The band of convection at the mean speed on the front rotor, and what was published. */
export function convectionOf(
  descent: PreparedDescent,
  sheet: Descent,
  air: CoolingAir,
  { knowledge }: Doubt,
): DescentFinding['convection'] {
  const speed = Math.max(1, mpsMean(descent));
  const rotor = { ...descent.front.body, wheelRadiusM: sheet.wheelRadiusM };
  const deviation = Math.hypot(...knowledge.root[0]);
  const at = (z: number): number => convectionAt(air, speed, rotor, knowledge.mean[0] + z);
  const [turning, plate, vehicle, slots] = publishedConvection(air, speed, rotor);
  return {
    centre: at(0),
    ci95: [at(-1.96 * deviation), at(1.96 * deviation)],
    published: {
      'disc turning in still air': turning,
      'plate as long as the rotor': plate,
      'vehicle rotor': vehicle,
      'plate from slot to slot': slots,
    },
  };
}

/** What a measured cool-down says beside the published formulas. */
export function fitOf(
  { coolDown, wheelRadiusM, ...sheet }: Descent,
  fit: CoolDownFit | null,
  air: CoolingAir,
): DescentFinding['coolDownFit'] {
  if (coolDown === null || fit === null) return null;
  const rotor = { ...bodyOf(sheet[coolDown.brake]), wheelRadiusM };
  const at = (z: number): number => convectionAt(air, coolDown.speedMps, rotor, z);
  return {
    brake: coolDown.brake,
    convectionWPerM2K: fit.convectionWPerM2K.centre,
    convectionCi95: fit.convectionWPerM2K.ci95,
    publishedCi95: [at(-1.96), at(1.96)],
    scatterK: fit.scatterK,
  };
}
