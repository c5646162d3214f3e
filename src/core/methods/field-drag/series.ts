import type { DayEvidence, Recording, Run, Setup } from '../../evidence/index.ts';
import { LapbenchError, type Problem } from '../../units/index.ts';
import { airDensity } from './air-of-day.ts';
import { coverage } from './coverage.ts';
import { dayOffsets } from './day-clock.ts';
import { eastOf, northOf, type Origin } from './plane.ts';
import { firstAt } from './tables.ts';

/** Longest step between two samples over which integrals are carried on, s. */
export const longestStepS = 5;

/**
 * One run cut to its window, on one clock, with the integrals that the energy balance needs.
 * All arrays have one value a sample; NaN means missing.
 */
export interface RunSeries {
  /** From 0. */
  run: number;
  sheet: Run;
  setup: Setup;
  file: string;
  /** Seconds from the first sample of the file. */
  timeS: Float64Array;
  /** Add to `timeS` for the time since the day's first run began. */
  dayOffsetS: number;
  speedMps: Float64Array;
  powerW: Float64Array;
  /** Along the bike, as the sensor says, not yet scaled; null without a usable sensor. */
  airspeedMps: Float64Array | null;
  /** Measured yaw, degrees; null without. */
  yawDeg: Float64Array | null;
  altitudeM: Float64Array | null;
  /** Metres east and north of the day's origin; null without positions. */
  eastM: Float64Array | null;
  northM: Float64Array | null;
  airDensityKgM3: Float64Array;
  /** Path ridden, m, from speed; carried on at the mean of the neighbours over a gap. */
  pathM: Float64Array;
  /** Work at the pedals, J, cumulative; a gap or dropout adds nothing (the span is left out). */
  workJ: Float64Array;
  /** True where the step that ends at this sample cannot be integrated (gap, pause, missing value). */
  broken: Uint8Array;
  lapMarksS: number[];
}

export interface DaySeries {
  runs: RunSeries[];
  origin: Origin | null;
  usedAirspeed: boolean;
  usedAltitude: boolean;
  warnings: Problem[];
}

/** Copies a window, filling holes of up to `longestHoleS` seconds on a straight line. */
function filled(
  values: Float64Array,
  timeS: Float64Array,
  from: number,
  to: number,
  longestHoleS: number,
): Float64Array {
  const out = values.slice(from, to);
  let last = -1;
  for (let i = 0; i < out.length; i++) {
    if (!Number.isFinite(out[i])) continue;
    if (last >= 0 && i - last > 1) {
      const span = timeS[from + i] - timeS[from + last];
      if (span <= longestHoleS) {
        for (let j = last + 1; j < i; j++) {
          const share = (timeS[from + j] - timeS[from + last]) / span;
          out[j] = out[last] + share * (out[i] - out[last]);
        }
      }
    }
    last = i;
  }
  return out;
}

/** Least share of samples that must carry a channel before it is used. */
const neededCoverage = 0.7;

/** The samples of a recording, from one index up to another, that belong to a run. */
interface Window {
  run: Run;
  index: number;
  recording: Recording;
  from: number;
  to: number;
}

/** What all runs of the day carry, so that all are treated alike. */
interface Channels {
  usedAirspeed: boolean;
  usedAltitude: boolean;
  origin: Origin | null;
}

/**
 * Cuts each run to its window and integrates power and speed.
 *
 * Errors: `channel-missing` when a run has no power or no speed, `run-window` when the window holds
 * fewer than 30 samples.
 */
export function prepareDay(evidence: DayEvidence): DaySeries {
  const { day, recordings } = evidence;
  const warnings: Problem[] = [];
  const offsets = dayOffsets(day.runs, recordings);
  if (offsets.assumed) {
    warnings.push({
      code: 'clock-reset',
      message:
        'The recordings do not share a clock, so the runs are taken in the order of the sheet, five minutes apart.',
      remedy: 'Keep the device clock running through the day if slow drift matters.',
    });
  }
  const windows = day.runs.map((run, index): Window => {
    const recording = recordings[index];
    const from = run.fromS === null ? 0 : firstAt(recording.timeS, run.fromS);
    const to = run.toS === null ? recording.timeS.length : firstAt(recording.timeS, run.toS + 1e-9);
    return { run, index, recording, from, to };
  });
  const problems = windows.flatMap(missing);
  if (problems.length > 0) throw new LapbenchError(problems);
  const channels = sharedChannels(windows, warnings);
  const runs = windows.map((window) =>
    runSeries(evidence, window, channels, offsets.offsetS[window.index]),
  );
  if (!runs.every((run) => run.yawDeg)) runs.forEach((run) => (run.yawDeg = null));
  return { runs, ...channels, warnings };
}

/** What a run lacks that nothing can be found without. */
function missing({ run, index, recording, from, to }: Window): Problem[] {
  const place = { run: index + 1 };
  if (to - from < 30) {
    return [
      {
        code: 'run-window',
        file: recording.file,
        place,
        message: `Run ${index + 1} holds ${Math.max(0, to - from)} samples, too few to find a lap.`,
        remedy: `Check "from" and "to" of run ${index + 1} against the recording's length.`,
      },
    ];
  }
  const needed = [
    ['powerW', 'power'],
    ['speedMps', 'speed'],
  ] as const;
  return needed.flatMap(([name, words]): Problem[] => {
    const share = coverage(recording.channels[name], from, to);
    if (share >= 0.5) return [];
    // The reader took out what cannot be; without its reason the channel would seem never recorded.
    const taken = recording.warnings.find(
      ({ code, message }) => code === 'value-invalid' && message.startsWith(`${words} of `),
    );
    if (share === 0 && taken) {
      return [
        {
          code: 'channel-missing',
          file: recording.file,
          place,
          message: `The recording has no usable ${words}: ${taken.message}`,
          remedy: `Check the unit of ${words}, and that the columns of speed and power are not exchanged; or take run ${index + 1} (${run.setup}) out of the sheet.`,
        },
      ];
    }
    return [
      {
        code: 'channel-missing',
        file: recording.file,
        place,
        message:
          share === 0
            ? `The recording has no ${words}; drag cannot be found without it.`
            : `Only ${Math.round(share * 100)} % of the samples carry ${words}.`,
        remedy: `Record with a ${words === 'power' ? 'power meter' : 'speed sensor or GPS'} paired, or take run ${index + 1} (${run.setup}) out of the sheet.`,
      },
    ];
  });
}

/** Decides for the whole day whether airspeed, altitude and positions are used. */
function sharedChannels(windows: Window[], warnings: Problem[]): Channels {
  const shares = (name: keyof Recording['channels']) =>
    windows.map((w) => coverage(w.recording.channels[name], w.from, w.to));
  const everywhere = (name: keyof Recording['channels']) =>
    shares(name).every((share) => share >= neededCoverage);
  const pressure = shares('dynamicPressurePa');
  const airspeedShares = shares('airspeedMps').map((share, i) => Math.max(share, pressure[i]));
  const enough = airspeedShares.filter((share) => share >= neededCoverage).length;
  const usedAirspeed = enough === windows.length;
  if (!usedAirspeed && airspeedShares.some((share) => share > 0)) {
    const first = airspeedShares.findIndex((share) => share < neededCoverage);
    warnings.push({
      code: 'airspeed-unusable',
      file: windows[first].recording.file,
      place: { run: first + 1 },
      message: `Airspeed is missing in ${windows.length - enough} of ${windows.length} runs, so it is not used for the day: setups would not be compared alike.`,
      remedy: 'Take those runs out of the sheet to use the sensor for the others.',
    });
  }
  return {
    usedAirspeed,
    usedAltitude: everywhere('altitudeM'),
    origin: everywhere('latDeg') ? firstPosition(windows[0]) : null,
  };
}

function firstPosition({ recording, from, to }: Window): Origin | null {
  const { latDeg, lonDeg } = recording.channels;
  if (!latDeg || !lonDeg) return null;
  for (let i = from; i < to; i++) {
    if (Number.isFinite(latDeg[i]) && Number.isFinite(lonDeg[i])) {
      return { latDeg: latDeg[i], lonDeg: lonDeg[i] };
    }
  }
  return null;
}

function runSeries(
  evidence: DayEvidence,
  window: Window,
  { usedAirspeed, usedAltitude, origin }: Channels,
  dayOffsetS: number,
): RunSeries {
  const { run, index, recording, from, to } = window;
  const timeS = recording.timeS.slice(from, to);
  const covered = (name: keyof Recording['channels']) =>
    coverage(recording.channels[name], from, to) >= neededCoverage;
  const channel = (name: keyof Recording['channels'], hole = longestStepS) =>
    recording.channels[name]
      ? filled(recording.channels[name]!, recording.timeS, from, to, hole)
      : null;
  const speedMps = channel('speedMps')!;
  const powerW = channel('powerW', 3)!;
  const density = airDensity(evidence, recording, from, to);
  let airspeedMps: Float64Array | null = null;
  if (usedAirspeed) {
    airspeedMps = covered('airspeedMps')
      ? channel('airspeedMps')
      : channel('dynamicPressurePa')!.map((q, i) => pitotAirspeedMps(q, density[i]));
  }
  const lat = origin && channel('latDeg');
  const lon = origin && channel('lonDeg');
  const positions = origin && lat && lon;
  return {
    run: index,
    sheet: run,
    setup: evidence.day.setups.find((setup) => setup.id === run.setup)!,
    file: recording.file,
    timeS,
    dayOffsetS,
    speedMps,
    powerW,
    airspeedMps,
    yawDeg: usedAirspeed && covered('yawDeg') ? channel('yawDeg') : null,
    altitudeM: usedAltitude ? channel('altitudeM', 30) : null,
    eastM: positions && lon.map((value) => eastOf(origin, value)),
    northM: positions && lat.map((value) => northOf(origin, value)),
    airDensityKgM3: density,
    ...integrals(recording, timeS, speedMps, powerW, airspeedMps),
    lapMarksS: Array.from(recording.lapMarksS).filter(
      (mark) => mark >= timeS[0] - 1e-6 && mark <= timeS[timeS.length - 1] + 1e-6,
    ),
  };
}

/** Pitot relation for incompressible flow, q = ½ ρ u² (Bernoulli). */
function pitotAirspeedMps(dynamicPressurePa: number, densityKgM3: number): number {
  const size = Math.sqrt((2 * Math.abs(dynamicPressurePa)) / densityKgM3);
  return Math.sign(dynamicPressurePa) * size;
}

/** Path and work summed over the run, and the steps over which they cannot be. */
function integrals(
  recording: Recording,
  timeS: Float64Array,
  speedMps: Float64Array,
  powerW: Float64Array,
  airspeedMps: Float64Array | null,
): Pick<RunSeries, 'pathM' | 'workJ' | 'broken'> {
  const n = timeS.length;
  const broken = new Uint8Array(n);
  broken[0] = 1;
  const pathM = new Float64Array(n);
  const workJ = new Float64Array(n);
  for (let i = 1; i < n; i++) {
    const dt = timeS[i] - timeS[i - 1];
    const v0 = Number.isFinite(speedMps[i - 1]) ? speedMps[i - 1] : speedMps[i];
    const v1 = Number.isFinite(speedMps[i]) ? speedMps[i] : v0;
    pathM[i] = pathM[i - 1] + (Number.isFinite(v0 + v1) ? 0.5 * (v0 + v1) * dt : 0);
    const step = 0.5 * (powerW[i - 1] + powerW[i]) * dt;
    const usable =
      dt <= longestStepS && Number.isFinite(step) && Number.isFinite(speedMps[i - 1] + speedMps[i]);
    workJ[i] = workJ[i - 1] + (usable ? step : 0);
    if (!usable || (airspeedMps && !Number.isFinite(airspeedMps[i] + airspeedMps[i - 1]))) {
      broken[i] = 1;
    }
  }
  for (const pause of recording.pauses) {
    for (let i = 1; i < n; i++) {
      if (timeS[i] > pause.fromS && timeS[i - 1] < pause.toS) broken[i] = 1;
    }
  }
  return { pathM, workJ, broken };
}
