/** A wheel sheet in, its geometry and its answers to one newton round the rim out: for drawing. */
import { unitLoads, type SpokeEnd, type UnitLoadAnswer } from '../core/structure/index.ts';
import type { UnitLoad, WheelShapes } from './contract.ts';
import { readWheel } from './read-wheel.ts';

/** A curve through more places looks no different, and a load that is dragged over them does not jerk. */
const enough = { angles: 96, loads: 80 };

/** Throws `LapbenchError` when the sheet is refused or the wheel cannot stand. */
export function wheelShapes(sheet: string): WheelShapes {
  const { wheel } = readWheel({ text: sheet, file: 'wheel sheet' });
  const { nodeAngleRad, spokes, sideways, inwards, forwards } = unitLoads(wheel);
  const loadStep = Math.ceil(sideways.length / enough.loads);
  const angleStep = angleStepFor(
    nodeAngleRad.length,
    (nodeAngleRad.length / sideways.length) * loadStep,
  );
  const some = (values: Float64Array): Float64Array => values.filter((_, i) => i % angleStep === 0);
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
  const loads = (answers: UnitLoadAnswer[]): UnitLoad[] =>
    answers.filter((_, i) => i % loadStep === 0).map(unitLoad);
  return {
    rimRadiusM: wheel.rim.radiusM,
    anglesDeg: Array.from(some(nodeAngleRad), degrees),
    spokes: spokes.map(({ rim, hub, ...spoke }) => ({
      ...spoke,
      rim: end(rim),
      hub: end(hub),
    })),
    sideways: loads(sideways),
    inwards: loads(inwards),
    forwards: loads(forwards),
  };
}

/** Every place of a load is an angle; where there is room, one more between two. */
function angleStepFor(nodes: number, nodesPerLoad: number): number {
  const half = nodesPerLoad / 2;
  return Number.isInteger(half) && nodes / half <= enough.angles ? half : nodesPerLoad;
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
