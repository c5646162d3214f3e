/** A wheel sheet in, its geometry and its answers to one newton round the rim out: for drawing. */
import { unitLoads, type SpokeEnd, type UnitLoadAnswer } from '../core/structure/index.ts';
import type { UnitLoad, WheelShapes } from './contract.ts';
import { readWheel } from './read-wheel.ts';

/** A curve through more places looks no different; the page holds up to three loads at each. */
const enoughAngles = 96;

/** Throws `LapbenchError` when the sheet is refused or the wheel cannot stand. */
export function wheelShapes(sheet: string): WheelShapes {
  const { wheel } = readWheel({ text: sheet, file: 'wheel sheet' });
  const { nodeAngleRad, spokes, sideways, inwards, forwards } = unitLoads(wheel);
  const every = nodeAngleRad.length > enoughAngles ? 2 : 1;
  const some = (values: Float64Array): Float64Array => values.filter((_, i) => i % every === 0);
  const unitLoad = (answer: UnitLoadAnswer): UnitLoad => {
    const moved = [answer.lateralM, answer.radialM, answer.tangentialM].map(some);
    const [leftM, outwardM, forwardM] = rounded(moved);
    const [tensionN] = rounded([answer.tensionChangeN]);
    return {
      positionDeg: degrees(answer.angleRad),
      ...{ leftM, outwardM, forwardM, tensionN },
      firstSlackN: answer.firstSlackN === null ? null : round(answer.firstSlackN, 4),
    };
  };
  return {
    rimRadiusM: wheel.rim.radiusM,
    anglesDeg: Array.from(some(nodeAngleRad), degrees),
    spokes: spokes.map(({ rim, hub, ...spoke }) => ({
      ...spoke,
      rim: end(rim),
      hub: end(hub),
    })),
    sideways: sideways.map(unitLoad),
    inwards: inwards.map(unitLoad),
    forwards: forwards.map(unitLoad),
  };
}

const round = (value: number, digits: number): number => Number(value.toPrecision(digits));
const degrees = (rad: number): number => round((rad * 180) / Math.PI, 7);

/**
 * To a 500th of the largest among them or better: finer than a drawing shows, and less than half of
 * what would go to the page.
 */
function rounded(columns: readonly Float64Array[]): number[][] {
  const largest = Math.max(
    ...columns.map((one) => one.reduce((m, v) => Math.max(m, Math.abs(v)), 0)),
  );
  const decimals = largest === 0 ? 0 : Math.ceil(Math.log10(500 / largest));
  const step = (value: number): number =>
    Number(`${Math.round(value * 10 ** decimals)}e${-decimals}`);
  return columns.map((values) => Array.from(values, step));
}

const end = ({ lateralM, radiusM, angleRad }: SpokeEnd): WheelShapes['spokes'][number]['rim'] => ({
  leftM: lateralM,
  radiusM,
  angleDeg: degrees(angleRad),
});
