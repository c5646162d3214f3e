/** What the explanations need to know of a kind of sheet. */
import type { z } from 'zod';
import { quantities, type Quantity } from './quantities.ts';
import { daySheetSchema } from './schema.ts';

export interface SheetKind {
  /** `day sheet`. */
  noun: string;
  schema: z.core.$ZodType;
  /** By path, list places written `*`. */
  quantities: Record<string, Quantity>;
  /** How a value is written, by path. */
  examples: Record<string, string>;
  /** How to begin one. */
  beginning: string;
  /** What to do when a list is too long. */
  tooMany: string;
}

const examples: Record<string, string> = {
  title: '"title: Three wheelsets on the gravel-pit loop"',
  date: '"date: 2026-05-17"',
  system: '"system: {massKg: 83.2}"',
  'system.massKg': '"massKg: 83.2", the weighed mass of rider, bicycle and all that is carried',
  weather: '"weather: {temperatureC: 15, pressureHPa: 1010, relativeHumidityPercent: 60}"',
  'weather.temperatureC': '"temperatureC: 15"',
  'weather.pressureHPa': '"pressureHPa: 1010", the pressure on the spot',
  constants: '"constants: {crr: 0.0045}"',
  course: '"course: {kind: loop}"',
  'course.gate': '"gate: {latDeg: 50.1, lonDeg: 8.2}"',
  setups: 'a list with one setup a line: "- {id: control, name: Shallow pair}"',
  'setups.*': '"- {id: control, name: Shallow pair}"',
  'setups.*.id': '"id: control"',
  control: '"control: control"',
  runs: 'a list with one run a line: "- {setup: control, file: run-1.fit}"',
  'runs.*': '"- {setup: control, file: run-1.fit}"',
  'runs.*.setup': '"setup: control", the id of the setup that was ridden',
  'runs.*.file': '"file: run-1.fit", the recording of this run',
  laps: 'a list such as "- {run: 2, lap: 3, use: false, reason: a lorry}"',
  'laps.*': '"- {run: 2, lap: 3, use: false, reason: a lorry}"',
  'laps.*.run': '"run: 2"',
  'laps.*.lap': '"lap: 3"',
  'laps.*.use': '"use: true" or "use: false"',
  csv: '"csv: {columns: {speed_mps: {column: kph, unit: km/h}}}"',
  'csv.columns': '"columns: {speed_mps: {column: kph, unit: km/h}}"',
  reference: '"reference: {speedKmh: 40, airDensityKgM3: 1.2}"',
};

export const dayKind: SheetKind = {
  noun: 'day sheet',
  schema: daySheetSchema,
  quantities,
  examples,
  beginning: 'Begin with "title: ...", "date: ..." and so on, one a line.',
  tooMany: 'Split the day into several sheets.',
};
