/** What a finding of field drag, as JSON, says of the setups of a race. */
import { covarianceOf, sdOf } from '../core/methods/index.ts';
import { LapbenchError, type Interval } from '../core/units/index.ts';
import type { ReadFile } from './edges.ts';

/** Drag areas with what is known of them together. */
export interface KnownDrag {
  ids: string[];
  cdaM2: number[];
  /** ids × ids, row by row, m⁴. */
  covariance: Float64Array;
  control: string;
}

type Keys = Record<string, unknown>;

/**
 * Reads `lapbench drag --json`.
 *
 * @throws LapbenchError `format-unknown` when it is another file, `format-damaged` when numbers are missing
 */
export function readDragFinding(file: string, readFile: ReadFile): KnownDrag {
  const wrong = (code: 'format-unknown' | 'format-damaged', message: string): never => {
    throw new LapbenchError({
      code,
      file,
      message,
      remedy: 'Make it with "lapbench drag day.yaml --json" or "lapbench show <day> --json".',
    });
  };
  let data: Keys = {};
  try {
    data = asMap(JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(readFile(file))));
  } catch (error) {
    if (error instanceof LapbenchError) throw error;
    wrong('format-unknown', 'The file is not JSON.');
  }
  if (data.schema !== 'lapbench/field-drag@1') {
    wrong(
      'format-unknown',
      `The file is no finding of field drag (its schema is ${JSON.stringify(data.schema ?? null)}).`,
    );
  }
  const number = (value: unknown, what: string): number =>
    typeof value === 'number' && Number.isFinite(value)
      ? value
      : wrong('format-damaged', `The finding lacks ${what}.`);
  const interval = (value: unknown, what: string): Interval => {
    const [low, high] = Array.isArray(value) ? (value as unknown[]) : [];
    const ends: Interval = [number(low, what), number(high, what)];
    return ends[1] >= ends[0] ? ends : wrong('format-damaged', `${what} is upside down.`);
  };
  const setups = list(data.setups).map(asMap);
  const differences = new Map(
    list(data.differences)
      .map(asMap)
      .map((one) => [one.setup, one]),
  );
  const ids = setups.map((one) => String(one.id));
  const control = ids.indexOf(String(data.control));
  if (control < 0) wrong('format-damaged', 'The finding’s control is none of its setups.');
  const sd = setups.map((one, i) => sdOf(interval(one.ci95, `the interval of ${ids[i]}`)));
  const apart = ids.map((id, i) =>
    i === control
      ? 0
      : sdOf(interval(differences.get(id)?.ci95, `the difference of ${id} to control`)),
  );
  return {
    ids,
    cdaM2: setups.map((one, i) => number(one.cdaM2, `the drag area of ${ids[i]}`)),
    covariance: covarianceOf(sd, control, apart),
    control: ids[control],
  };
}

const asMap = (value: unknown): Keys =>
  typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Keys) : {};
const list = (value: unknown): unknown[] => (Array.isArray(value) ? (value as unknown[]) : []);
