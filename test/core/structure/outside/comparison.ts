/** The wheels that CalculiX solved (tools/reference/wheel) beside the same wheels solved here. */
import fs from 'node:fs';
import type { Wheel } from '../../../../src/core/evidence/index.ts';
import { influence, solveLoad } from '../../../../src/core/structure/index.ts';
import type { LoadedWheel, ModelOptions, RimForce } from '../../../../src/core/structure/index.ts';

export type Triple = [number, number, number];

/** What CalculiX gives under 1 N. Displacements in the axes of the file: z to the left, spoke 1 on x. */
export interface OutsideAnswer {
  loadPointM: number;
  spokePointsM: Triple[];
  tensionChangeN: number[];
}

export interface SlackAnswer {
  forceN: number;
  loadPointM: number;
  spokeTensionN: number[];
}

export interface OutsideWheel {
  program: string;
  date: string;
  wheel: Wheel;
  spokes: { side: 'left' | 'right'; rimRad: number; hubRad: number; tensionN: number }[];
  linear: Record<string, OutsideAnswer>;
  tensioned: Record<string, OutsideAnswer>;
  oneTurnOfNipple1: {
    threadPitchM: number;
    tensionPerTurnN: number[];
    spokePointsPerTurnM: Triple[];
  };
  slack: null | {
    tensionFactor: number;
    'lateral-at-spoke': SlackAnswer;
    'radial-at-spoke': SlackAnswer;
  };
}

const folder = new URL('../../../fixtures/structure/', import.meta.url);

/** File names without `calculix-` and `.json`, in the order of the table. */
export const names = [
  'radial-32',
  'cross-3-32',
  'mixed-2-1-24',
  'deep-carbon-20',
  'dished-rear-28',
  'low-count-16',
];

export const outsideWheel = (name: string): OutsideWheel =>
  JSON.parse(fs.readFileSync(new URL(`calculix-${name}.json`, folder), 'utf8')) as OutsideWheel;

export const states = ['linear', 'tensioned'] as const;
export type State = (typeof states)[number];

/** Shear areas of a solid rectangle (5/6 of it; Cowper 1966 at ν = 0): bricks shear, thin beams do not. */
export function rectangleShear({ wheel }: OutsideWheel): ModelOptions {
  const area = (wheel.rim.areaM2 * 5) / 6;
  return { shearAreasM2: { radial: area, lateral: area } };
}

/** The force of a load's name; radial ones push towards the hub. */
function forceOf(load: string, spokes: number, sizeN: number): RimForce {
  const angleRad = load.endsWith('midway') ? Math.PI / spokes : 0;
  if (load.startsWith('lateral')) return { angleRad, lateralN: sizeN };
  if (load.startsWith('radial')) return { angleRad, radialN: -sizeN };
  return { angleRad, tangentialN: sizeN };
}

const piecesAGap = 8;

/** Displacement of the load point along the load. */
export function alongLoad(load: string, loaded: LoadedWheel): number {
  const node = load.endsWith('midway') ? piecesAGap / 2 : 0;
  const { lateralM, radialM, tangentialM } = loaded.displacements;
  if (load.startsWith('lateral')) return lateralM[node];
  return load.startsWith('radial') ? -radialM[node] : tangentialM[node];
}

/** Rim at a spoke in the axes of the file. */
function spokePoint(spoke: number, { displacements: d }: LoadedWheel): Triple {
  const node = spoke * piecesAGap;
  const [cos, sin] = [Math.cos(d.angleRad[node]), Math.sin(d.angleRad[node])];
  const [r, t] = [d.radialM[node], d.tangentialM[node]];
  return [r * cos - t * sin, r * sin + t * cos, d.lateralM[node]];
}

export interface Difference {
  name: string;
  load: string;
  state: State;
  outsideNPerMm: number;
  oursNPerMm: number;
  /** Ours over CalculiX's less 1, of the stiffness at the load point. */
  stiffness: number;
  /** Largest distance of a rim point at a spoke from CalculiX's, over the largest displacement. */
  displacements: number;
  /** Largest difference of a spoke's force, over the largest change of force. */
  spokeForces: number;
}

const largest = (values: readonly number[]): number => Math.max(...values.map(Math.abs));

export function difference(
  name: string,
  outside: OutsideWheel,
  state: State,
  load: string,
  options: ModelOptions = {},
): Difference {
  const theirs = outside[state][load];
  const ours = solveLoad(
    outside.wheel,
    { forces: [forceOf(load, outside.spokes.length, 1)] },
    { ...options, tensioned: state === 'tensioned', unilateral: false },
  );
  const u = alongLoad(load, ours);
  const apart = theirs.spokePointsM.map((point, i) => {
    const mine = spokePoint(i, ours);
    return Math.hypot(...point.map((x, axis) => mine[axis] - x));
  });
  const forces = theirs.tensionChangeN.map((x, i) => ours.spokeTensionChangeN[i] - x);
  return {
    name,
    load,
    state,
    outsideNPerMm: 1e-3 / theirs.loadPointM,
    oursNPerMm: 1e-3 / u,
    stiffness: theirs.loadPointM / u - 1,
    displacements: largest(apart) / largest(theirs.spokePointsM.map((p) => Math.hypot(...p))),
    spokeForces: largest(forces) / largest(theirs.tensionChangeN),
  };
}

/** All loads of a wheel in one state. */
export const differences = (name: string, state: State, shear = false): Difference[] => {
  const outside = outsideWheel(name);
  const options = shear ? rectangleShear(outside) : {};
  return Object.keys(outside[state]).map((load) => difference(name, outside, state, load, options));
};

/** Largest differences of the first nipple's turn: tension, lateral and radial trueness, each over its largest. */
export function turnDifference(outside: OutsideWheel): {
  tension: number;
  lateral: number;
  radial: number;
} {
  const { threadPitchM, tensionPerTurnN, spokePointsPerTurnM } = outside.oneTurnOfNipple1;
  const ours = influence(outside.wheel, { ...rectangleShear(outside), threadPitchM });
  const column = (matrix: Float64Array, i: number): number => matrix[i * ours.spokes];
  const radial = spokePointsPerTurnM.map(([x, y], i) => {
    const a = outside.spokes[i].rimRad;
    return x * Math.cos(a) + y * Math.sin(a);
  });
  const lateral = spokePointsPerTurnM.map((p) => p[2]);
  const off = (theirs: number[], matrix: Float64Array): number =>
    largest(theirs.map((x, i) => column(matrix, i) - x)) / largest(theirs);
  return {
    tension: off(tensionPerTurnN, ours.tensionPerTurnN),
    lateral: off(lateral, ours.lateralPerTurnM),
    radial: off(radial, ours.radialPerTurnM),
  };
}

/** A load under which spokes go slack: ours, CalculiX's, and the mean tension at rest. */
export function slackPair(
  outside: OutsideWheel,
  load: 'lateral-at-spoke' | 'radial-at-spoke',
): { theirs: SlackAnswer; ours: LoadedWheel; oursM: number; meanTensionN: number } {
  if (!outside.slack) throw new Error(`${outside.wheel.name} was not solved with slack spokes`);
  const { tensionFactor } = outside.slack;
  const theirs = outside.slack[load];
  const tensionsN = outside.spokes.map(({ tensionN }) => tensionN * tensionFactor);
  const ours = solveLoad(
    outside.wheel,
    { forces: [forceOf(load, outside.spokes.length, theirs.forceN)] },
    { ...rectangleShear(outside), tensionsN },
  );
  const meanTensionN = tensionsN.reduce((sum, t) => sum + t, 0) / tensionsN.length;
  return { theirs, ours, oursM: alongLoad(load, ours), meanTensionN };
}
