import Papa from 'papaparse';
import type { ChannelName, ColumnMap, CsvColumnName } from '../core/evidence/index.ts';
import { csvColumnNames, csvUnits } from '../core/evidence/index.ts';
import type { Problem } from '../core/units/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import { unitConversion } from './text-units.ts';

/** The channel each column fills; time and lap are not channels. */
const channelOf: Record<Exclude<CsvColumnName, 'time_s' | 'lap'>, ChannelName> = {
  speed_mps: 'speedMps',
  power_w: 'powerW',
  altitude_m: 'altitudeM',
  distance_m: 'distanceM',
  lat_deg: 'latDeg',
  lon_deg: 'lonDeg',
  airspeed_mps: 'airspeedMps',
  yaw_deg: 'yawDeg',
  dynamic_pressure_pa: 'dynamicPressurePa',
  temperature_c: 'temperatureC',
  pressure_hpa: 'pressureHPa',
  humidity_percent: 'humidityPercent',
  cadence_rpm: 'cadenceRpm',
};

/** A column of the file that is wanted, and what to do with its numbers. */
export interface HeaderColumn {
  name: CsvColumnName;
  channel: ChannelName | null;
  /** Which cell of a row, from 0. */
  cell: number;
  /** To the unit of the channel; null when the column holds ISO times. */
  convert: ((value: number) => number) | null;
}

export interface Header {
  separator: ',' | ';' | '\t';
  cells: number;
  columns: HeaderColumn[];
}

/**
 * Reads a CSV header: finds the separator and which cell holds which column.
 *
 * @throws LapbenchError `column-missing` or `sheet-unit` with all that is wrong at once.
 */
export function readHeader(text: string, file: string, line: number, map: ColumnMap): Header {
  const separator = findSeparator(text);
  const names = (Papa.parse<string[]>(text, { delimiter: separator }).data[0] ?? []).map((name) =>
    name.trim(),
  );
  const problems: Problem[] = [];
  const columns: HeaderColumn[] = [];

  for (const name of csvColumnNames) {
    const wanted = map[name];
    const title = wanted?.column ?? name;
    const cell = findCell(names, title);
    if (cell === -1) {
      if (wanted !== undefined) {
        problems.push({
          code: 'column-missing',
          file,
          place: { line },
          message: `There is no column "${title}", which the column map names for ${name}; the columns are ${list(names)}.`,
          remedy: 'Write the column as it stands in the first line of the file.',
        });
      }
      continue;
    }
    const unit = wanted?.unit ?? csvUnits[name][0];
    const convert = unit === 'ISO' ? null : conversionFor(name, unit);
    if (convert === undefined) {
      problems.push({
        code: 'sheet-unit',
        file,
        message: `The unit "${unit}" of ${name} is not known; it can be ${list(csvUnits[name])}.`,
        remedy: 'Correct the unit in the column map.',
      });
      continue;
    }
    const channel = name === 'time_s' || name === 'lap' ? null : channelOf[name];
    columns.push({ name, channel, cell, convert });
  }

  if (problems.length === 0) problems.push(...missingColumns(columns, names, file, line));
  if (problems.length > 0) throw new LapbenchError(problems);
  return { separator, cells: names.length, columns };
}

function missingColumns(
  columns: HeaderColumn[],
  names: string[],
  file: string,
  line: number,
): Problem[] {
  const has = (name: CsvColumnName): boolean => columns.some((column) => column.name === name);
  const missing: CsvColumnName[] = [];
  if (!has('time_s')) missing.push('time_s');
  if (!has('speed_mps') && !has('distance_m') && !(has('lat_deg') && has('lon_deg')))
    missing.push('speed_mps');
  if (missing.length === 0) return [];
  const example = missing
    .map((name) => `${name}: {column: '…', unit: '${csvUnits[name][0]}'}`)
    .join(', ');
  return [
    {
      code: 'column-missing',
      file,
      place: { line },
      message: `The header row has no column ${missing.join(' and no column ')}; it has ${list(names)}.`,
      remedy: `Name the column so, or write in the day sheet which one it is: csv: {columns: {${example}}}.`,
    },
  ];
}

/** Undefined when the unit is not one this column can have. */
function conversionFor(name: CsvColumnName, unit: string): ((value: number) => number) | undefined {
  if (!(csvUnits[name] as readonly string[]).includes(unit)) return undefined;
  const target =
    name === 'pressure_hpa'
      ? 'hPa'
      : name === 'dynamic_pressure_pa'
        ? 'Pa'
        : name === 'humidity_percent'
          ? '%'
          : 'other';
  return unitConversion(unit, target) ?? undefined;
}

function findCell(names: string[], title: string): number {
  const exact = names.indexOf(title.trim());
  if (exact !== -1) return exact;
  return names.findIndex((name) => name.toLowerCase() === title.trim().toLowerCase());
}

/** The separator that stands most often outside quotes. */
function findSeparator(text: string): Header['separator'] {
  const outside = text.replace(/"[^"]*"/g, '');
  const count = (mark: string): number => outside.split(mark).length - 1;
  const marks = [',', ';', '\t'] as const;
  return marks.reduce((best, mark) => (count(mark) > count(best) ? mark : best));
}

function list(names: readonly string[]): string {
  const shown = names
    .slice(0, 20)
    .map((name) => (name.length > 40 ? `${name.slice(0, 40)}…` : name));
  return (
    shown.join(', ') +
    (names.length > shown.length ? ` and ${names.length - shown.length} more` : '')
  );
}
