import type { SideOfWheel, SimulatedWheel } from './wheel.ts';

/** Rim of the invented wheel: the generator takes it as rigid, the sheet needs numbers. */
export const inventedRim = {
  /** Centroid line to seat. */
  nippleOffsetM: 0.006,
  materialEPa: 70e9,
  materialGPa: 26e9,
  areaM2: 1.25e-4,
  iRadialM4: 6.2e-9,
  iLateralM4: 1.35e-8,
  torsionM4: 7.5e-9,
  massKg: 0.47,
};

/**
 * The wheel sheet (schemas/wheel.schema.json) that a tester would write for this wheel: YAML, with the
 * tester's errors of modulus and mean tension in it. Tensions of single spokes are not on the sheet.
 */
export function simulatedWheelSheet(wheel: SimulatedWheel): string {
  const { sides, stated } = wheel;
  const rim = {
    radiusM: wheel.seatRadiusM + inventedRim.nippleOffsetM,
    ...inventedRim,
  };
  const number = (value: number): string => {
    // YAML 1.2 takes 7e10 for a number only with a digit after a sign in some readers: write it out.
    const [mantissa, exponent] = Number(value.toPrecision(8)).toExponential().split('e');
    const power = Number(exponent);
    return power >= -4 && power < 6 ? String(Number(value.toPrecision(8))) : `${mantissa}e${power}`;
  };
  const map = (fields: Record<string, number>): string =>
    Object.entries(fields)
      .map(([key, value]) => `${key}: ${number(value)}`)
      .join(', ');
  const spokesOf = (side: SideOfWheel): string =>
    map({
      count: side.count,
      cross: side.cross,
      materialEPa: side.youngPa * stated.youngFactor,
      ...side.section,
      densityKgM3: side.densityKgM3,
      meanTensionN: Number((side.meanTensionN * stated.tensionFactor).toFixed(1)),
    });
  return `# An invented wheel, made by the simulation that comes with Lapbench.
name: ${JSON.stringify(wheel.name)}
invented: true
rim: {${map(rim)}}
hub:
  flangeRadiusM: {left: ${number(sides.left.flangeRadiusM)}, right: ${number(sides.right.flangeRadiusM)}}
  flangeOffsetM: {left: ${number(sides.left.flangeOffsetM)}, right: ${number(sides.right.flangeOffsetM)}}
spokes:
  left: {${spokesOf(sides.left)}}
  right: {${spokesOf(sides.right)}}
discSide: ${wheel.discSide}
`;
}
