import type { SimulatedDay, SimulatedRun } from './day.ts';
import type { RecordedChannels } from './measure.ts';

/** Header of the CSV form, with the channel behind it and the decimals kept. */
const csvColumns: [header: string, channel: keyof RecordedChannels, decimals: number][] = [
  ['speed_mps', 'speedMps', 3],
  ['power_w', 'powerW', 1],
  ['altitude_m', 'altitudeM', 2],
  ['distance_m', 'distanceM', 2],
  ['lat_deg', 'latDeg', 7],
  ['lon_deg', 'lonDeg', 7],
  ['airspeed_mps', 'airspeedMps', 3],
  ['yaw_deg', 'yawDeg', 2],
  ['temperature_c', 'temperatureC', 2],
  ['pressure_hpa', 'pressureHPa', 2],
];

/** The run as CSV text with a header row; `lap` counts the lap marks passed. Lap marks so keep whole seconds only. */
export function writeCsv(run: SimulatedRun): string {
  const columns = csvColumns.filter(([, channel]) => run.channels[channel] !== undefined);
  const lines = [['time_s', ...columns.map(([header]) => header), 'lap'].join(',')];
  let lap = 0;
  for (let i = 0; i < run.timeS.length; i++) {
    while (lap < run.lapMarksS.length && run.lapMarksS[lap] <= run.timeS[i]) lap++;
    const cells = columns.map(([, channel, decimals]) =>
      (run.channels[channel] as Float64Array)[i].toFixed(decimals),
    );
    lines.push([run.timeS[i], ...cells, lap].join(','));
  }
  return `${lines.join('\n')}\n`;
}

/** What the tester adds to the facts. */
export interface SheetWords {
  title?: string;
  /** Comment lines at the head, without the #. */
  heading?: string[];
  /** A remark for each run; null: none. */
  remarks?: (string | null)[];
}

/** The day sheet that goes with the files, one file name for each run. Throws RangeError when they do not match. */
export function daySheetYaml(
  day: SimulatedDay,
  fileNames: string[],
  { title = 'Invented test day', heading = [], remarks = [] }: SheetWords = {},
): string {
  if (fileNames.length !== day.runs.length) throw new RangeError('one file name for each run');
  const { stated, conditions } = day;
  const text = (value: string): string => JSON.stringify(value);
  const setups = day.setups.map((s) => {
    const offset = s.massOffsetKg === 0 ? '' : `, massOffsetKg: ${s.massOffsetKg}`;
    return `  - {id: ${s.id}, name: ${text(s.name)}, wheelInertiaKgM2: ${s.wheelInertiaKgM2}${offset}}`;
  });
  const runs = day.runs.map((run, i) => {
    const remark = remarks[i] ? `, remark: ${text(remarks[i])}` : '';
    return `  - {setup: ${run.setup}, file: ${text(fileNames[i])}${remark}}`;
  });
  const head = heading
    .map(
      (line) => `# ${line}
`,
    )
    .join('');
  return `${head}title: ${text(title)}
date: ${new Date(conditions.startEpochS * 1000).toISOString().slice(0, 10)}
invented: true
system: {massKg: ${stated.massKg}, massStandardUncertaintyKg: ${stated.massStandardUncertaintyKg}}
constants:
  crr: ${stated.crr}
  crrStandardUncertainty: ${stated.crrStandardUncertainty}
  drivetrainEfficiency: ${stated.drivetrainEfficiency}
  powerScaleStandardUncertainty: ${stated.powerScaleStandardUncertainty}
weather:
  temperatureC: ${stated.temperatureC.toFixed(1)}
  pressureHPa: ${stated.pressureHPa.toFixed(1)}
  relativeHumidityPercent: ${stated.relativeHumidityPercent}
course: {kind: ${conditions.course.kind}}
setups:
${setups.join('\n')}
control: ${day.control}
runs:
${runs.join('\n')}
reference: {speedKmh: 40, airDensityKgM3: 1.2}
`;
}
