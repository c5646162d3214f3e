/**
 * What a careful person does with a spreadsheet, as the measure for our own method: energy balance of
 * each lap between its lap marks, then a Welch t interval on the laps. No shared road, no wind but
 * what the airspeed sensor shows, no drift, every lap for itself.
 */
import quantile from '@stdlib/stats-base-dists-t-quantile';
import type { DayEvidence, Recording } from '../src/core/evidence/index.ts';

export interface BaselineLap {
  setup: string;
  run: number;
  lap: number;
  cdaM2: number;
}

export interface BaselineDifference {
  setup: string;
  deltaCdaM2: number;
  halfWidthM2: number;
}

export interface BaselineFinding {
  laps: BaselineLap[];
  differences: BaselineDifference[];
}

/**
 * Reduces a day the spreadsheet's way: `calm` takes the air as still, `airspeed` believes the sensor
 * where there is one. Needs lap marks. Throws RangeError without them.
 */
export function spreadsheetMethod(
  evidence: DayEvidence,
  air: 'calm' | 'airspeed',
): BaselineFinding {
  const { day, recordings } = evidence;
  const laps: BaselineLap[] = [];
  day.runs.forEach((run, i) => {
    const setup = day.setups.find(({ id }) => id === run.setup);
    if (!setup) throw new RangeError(`unknown setup ${run.setup}`);
    const recording = recordings[i];
    if (recording.lapMarksS.length < 2) throw new RangeError(`${recording.file} has no lap marks`);
    const massKg = day.system.massKg + setup.massOffsetKg;
    const effectiveMassKg = massKg + setup.wheelInertiaKgM2 / setup.wheelRadiusM ** 2;
    for (let lap = 1; lap < recording.lapMarksS.length; lap++) {
      const cdaM2 = lapCda(recording, lap, evidence, air, massKg, effectiveMassKg);
      laps.push({ setup: run.setup, run: i + 1, lap, cdaM2 });
    }
  });
  const of = (id: string): number[] =>
    laps.filter((lap) => lap.setup === id).map((lap) => lap.cdaM2);
  const control = of(day.control);
  const differences = day.setups
    .filter(({ id }) => id !== day.control)
    .map(({ id }) => ({ setup: id, ...welch(of(id), control) }));
  return { laps, differences };
}

/** One lap: (η·work − rolling − bearings − change of kinetic energy) / ∫ ½ρ·va²·v dt. */
function lapCda(
  { timeS, channels, lapMarksS }: Recording,
  lap: number,
  { day }: DayEvidence,
  believe: 'calm' | 'airspeed',
  massKg: number,
  effectiveMassKg: number,
): number {
  const speed = channels.speedMps as Float64Array;
  const power = channels.powerW as Float64Array;
  const air = (believe === 'airspeed' ? channels.airspeedMps : undefined) ?? speed;
  // A spreadsheet has rows: a lap is the rows after one mark up to the next.
  const first = timeS.findIndex((t) => t >= lapMarksS[lap - 1]);
  let last = timeS.findIndex((t) => t >= lapMarksS[lap]);
  if (last < 0) last = timeS.length - 1;
  let workJ = 0;
  let bearingsJ = 0;
  let distanceM = 0;
  let dragPerCda = 0;
  for (let i = first + 1; i <= last; i++) {
    const dt = timeS[i] - timeS[i - 1];
    const v = (speed[i] + speed[i - 1]) / 2;
    const u = (air[i] + air[i - 1]) / 2;
    const temperatureC = channels.temperatureC?.[i] ?? day.weather?.temperatureC ?? 15;
    const pressureHPa = channels.pressureHPa?.[i] ?? day.weather?.pressureHPa ?? 1013.25;
    const humidity = day.weather?.relativeHumidityPercent ?? 50;
    const density = densityOiml(temperatureC, pressureHPa, humidity);
    workJ += power[i] * dt;
    bearingsJ += (0.091 + 0.0087 * v) * v * dt;
    distanceM += v * dt;
    dragPerCda += 0.5 * density * u * u * v * dt;
  }
  const { crr, drivetrainEfficiency } = day.constants;
  const kineticJ = 0.5 * effectiveMassKg * (speed[last] ** 2 - speed[first] ** 2);
  const rollingJ = crr * massKg * 9.80665 * distanceM;
  return (drivetrainEfficiency * workJ - rollingJ - bearingsJ - kineticJ) / dragPerCda;
}

/** OIML R 111-1 (2004), equation E.3-1, from memory: good to 2e-4 near sea level. */
function densityOiml(temperatureC: number, pressureHPa: number, humidityPercent: number): number {
  return (
    (0.34848 * pressureHPa - 0.009 * humidityPercent * Math.exp(0.061 * temperatureC)) /
    (273.15 + temperatureC)
  );
}

/** Welch 1947: difference of means with its 95 % interval, unequal variances. */
export function welch(a: number[], b: number[]): { deltaCdaM2: number; halfWidthM2: number } {
  const mean = (x: number[]): number => x.reduce((sum, value) => sum + value, 0) / x.length;
  const ma = mean(a);
  const mb = mean(b);
  const va = a.reduce((sum, x) => sum + (x - ma) ** 2, 0) / (a.length - 1) / a.length;
  const vb = b.reduce((sum, x) => sum + (x - mb) ** 2, 0) / (b.length - 1) / b.length;
  const df = (va + vb) ** 2 / (va ** 2 / (a.length - 1) + vb ** 2 / (b.length - 1));
  return { deltaCdaM2: ma - mb, halfWidthM2: quantile(0.975, df) * Math.sqrt(va + vb) };
}
