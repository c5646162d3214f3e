/** A wheel sheet in, its geometry and its answers to one newton round the rim out: for drawing. */
import { unitLoads, type SpokeEnd, type UnitLoadAnswer } from '../core/structure/index.ts';
import type { UnitLoad, WheelShapes } from './contract.ts';
import { readWheel } from './read-wheel.ts';

/** Throws `LapbenchError` when the sheet is refused or the wheel cannot stand. */
export function wheelShapes(sheet: string): WheelShapes {
  const { wheel } = readWheel({ text: sheet, file: 'wheel sheet' });
  const { nodeAngleRad, spokes, sideways, inwards } = unitLoads(wheel);
  return {
    rimRadiusM: wheel.rim.radiusM,
    anglesDeg: [...nodeAngleRad].map(degrees),
    spokes: spokes.map(({ rim, hub, ...spoke }) => ({
      ...spoke,
      rim: end(rim),
      hub: end(hub),
    })),
    sideways: sideways.map(unitLoad),
    inwards: inwards.map(unitLoad),
  };
}

const degrees = (rad: number): number => round((rad * 180) / Math.PI, 7);

/** Four digits are more than a drawing shows, and halve what goes to the page. */
const round = (value: number, digits = 4): number => Number(value.toPrecision(digits));
const rounded = (values: Float64Array): number[] => Array.from(values, (value) => round(value));

const end = ({ lateralM, radiusM, angleRad }: SpokeEnd): WheelShapes['spokes'][number]['rim'] => ({
  leftM: lateralM,
  radiusM,
  angleDeg: degrees(angleRad),
});

const unitLoad = (answer: UnitLoadAnswer): UnitLoad => ({
  positionDeg: degrees(answer.angleRad),
  leftM: rounded(answer.lateralM),
  outwardM: rounded(answer.radialM),
  forwardM: rounded(answer.tangentialM),
  tensionN: rounded(answer.tensionChangeN),
  firstSlackN: answer.firstSlackN === null ? null : round(answer.firstSlackN),
});
