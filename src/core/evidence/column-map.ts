/**
 * The columns a CSV recording may have, and how a person says which column of a foreign file is
 * which: `{speed_mps: {column: 'kph', unit: 'km/h'}}`.
 */

/** Columns known by name. All but time, speed and power are optional. */
export const csvColumnNames = [
  'time_s',
  'speed_mps',
  'power_w',
  'altitude_m',
  'distance_m',
  'lat_deg',
  'lon_deg',
  'airspeed_mps',
  'yaw_deg',
  'dynamic_pressure_pa',
  'temperature_c',
  'pressure_hpa',
  'humidity_percent',
  'cadence_rpm',
  'lap',
] as const;

export type CsvColumnName = (typeof csvColumnNames)[number];

/** Units a map may name for each column; the first is taken when the map names none. */
export const csvUnits = {
  time_s: ['s', 'ms', 'min', 'h', 'ISO'],
  speed_mps: ['m/s', 'km/h', 'mph'],
  power_w: ['W', 'kW'],
  altitude_m: ['m', 'ft', 'km'],
  distance_m: ['m', 'km', 'ft', 'mi'],
  lat_deg: ['deg', 'rad'],
  lon_deg: ['deg', 'rad'],
  airspeed_mps: ['m/s', 'km/h', 'mph'],
  yaw_deg: ['deg', 'rad'],
  dynamic_pressure_pa: ['Pa', 'hPa', 'kPa', 'mbar'],
  temperature_c: ['°C', '°F', 'K'],
  pressure_hpa: ['hPa', 'Pa', 'kPa', 'mbar'],
  humidity_percent: ['%', '1'],
  cadence_rpm: ['rpm'],
  lap: ['1'],
} as const satisfies Record<CsvColumnName, readonly string[]>;

/** Any unit that a column map may name. */
export type CsvUnit = (typeof csvUnits)[CsvColumnName][number];

/** One entry of a column map: the header as written in the file, and its unit when it is not the first of `csvUnits`. */
export interface CsvColumn {
  column: string;
  unit?: CsvUnit | null;
}

/** Which column of a CSV file is which. Columns that the map does not name are looked up by their own names. */
export type ColumnMap = Partial<Record<CsvColumnName, CsvColumn>>;
