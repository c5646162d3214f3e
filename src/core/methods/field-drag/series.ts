import type { DayEvidence, Recording, Run, Setup } from '../../evidence/index.ts';
import { LapbenchError, degToRad, type Problem } from '../../units/index.ts';
import { airDensityKgM3 } from '../../physics/index.ts';

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
  origin: { latDeg: number; lonDeg: number } | null;
  usedAirspeed: boolean;
  usedAltitude: boolean;
  warnings: Problem[];
}

const earthRadiusM = 6371008.8;

/** Share of values that are present, 0 to 1. */
function coverage(values: Float64Array | undefined, from: number, to: number): number {
  if (!values || to <= from) return 0;
  let present = 0;
  for (let i = from; i < to; i++) if (Number.isFinite(values[i])) present++;
  return present / (to - from);
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

/** First index with timeS >= value. */
export function lowerBound(timeS: Float64Array, value: number): number {
  let low = 0;
  let high = timeS.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (timeS[middle] < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Least share of samples that must carry a channel before it is used. */
const neededCoverage = 0.7;

/**
 * Cuts each run to its window and integrates power and speed.
 *
 * Errors: `channel-missing` when a run has no power or no speed, `run-window` when the window holds
 * fewer than 30 samples.
 */
export function prepareDay(evidence: DayEvidence): DaySeries {
  const { day, recordings } = evidence;
  const problems: Problem[] = [];
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
  const windows = day.runs.map((run, index) => {
    const recording = recordings[index];
    const from = run.fromS === null ? 0 : lowerBound(recording.timeS, run.fromS);
    const to =
      run.toS === null ? recording.timeS.length : lowerBound(recording.timeS, run.toS + 1e-9);
    return { run, index, recording, from, to };
  });
  for (const { run, index, recording, from, to } of windows) {
    const place = { run: index + 1 };
    if (to - from < 30) {
      problems.push({
        code: 'run-window',
        file: recording.file,
        place,
        message: `Run ${index + 1} holds ${Math.max(0, to - from)} samples, too few to find a lap.`,
        remedy: `Check "from" and "to" of run ${index + 1} against the recording's length.`,
      });
      continue;
    }
    for (const [name, words] of [
      ['powerW', 'power'],
      ['speedMps', 'speed'],
    ] as const) {
      const share = coverage(recording.channels[name], from, to);
      if (share >= 0.5) continue;
      problems.push({
        code: 'channel-missing',
        file: recording.file,
        place,
        message:
          share === 0
            ? `The recording has no ${words}; drag cannot be found without it.`
            : `Only ${Math.round(share * 100)} % of the samples carry ${words}.`,
        remedy: `Record with a ${words === 'power' ? 'power meter' : 'speed sensor or GPS'} paired, or take run ${run.setup} ${index + 1} out of the sheet.`,
      });
    }
  }
  if (problems.length > 0) throw new LapbenchError(problems);

  const every = (name: 'airspeedMps' | 'altitudeM' | 'latDeg' | 'yawDeg' | 'dynamicPressurePa') =>
    windows.map((w) => coverage(w.recording.channels[name], w.from, w.to));
  const airspeedShares = windows.map((_, i) =>
    Math.max(every('airspeedMps')[i], every('dynamicPressurePa')[i]),
  );
  const airspeedEnough = airspeedShares.filter((share) => share >= neededCoverage).length;
  const usedAirspeed = airspeedEnough === windows.length;
  if (!usedAirspeed && airspeedShares.some((share) => share > 0)) {
    const first = airspeedShares.findIndex((share) => share < neededCoverage);
    warnings.push({
      code: 'airspeed-unusable',
      file: windows[first].recording.file,
      place: { run: first + 1 },
      message: `Airspeed is missing in ${windows.length - airspeedEnough} of ${windows.length} runs, so it is not used for the day: setups would not be compared alike.`,
      remedy: 'Take those runs out of the sheet to use the sensor for the others.',
    });
  }
  const usedAltitude = every('altitudeM').every((share) => share >= neededCoverage);
  const usedPositions = every('latDeg').every((share) => share >= neededCoverage);

  let origin: DaySeries['origin'] = null;
  if (usedPositions) {
    const { recording, from, to } = windows[0];
    const lat = recording.channels.latDeg!;
    const lon = recording.channels.lonDeg;
    if (lon) {
      for (let i = from; i < to && !origin; i++) {
        if (Number.isFinite(lat[i]) && Number.isFinite(lon[i])) {
          origin = { latDeg: lat[i], lonDeg: lon[i] };
        }
      }
    }
  }

  const runs = windows.map(({ run, index, recording, from, to }): RunSeries => {
    const time = recording.timeS.slice(from, to);
    const channel = (name: keyof Recording['channels'], hole = longestStepS) =>
      recording.channels[name]
        ? filled(recording.channels[name]!, recording.timeS, from, to, hole)
        : null;
    const speedMps = channel('speedMps')!;
    const powerW = channel('powerW', 3)!;
    const density = airDensity(evidence, recording, from, to);
    let airspeedMps: Float64Array | null = null;
    if (usedAirspeed) {
      if (coverage(recording.channels.airspeedMps, from, to) >= neededCoverage) {
        airspeedMps = channel('airspeedMps');
      } else {
        // Pitot relation for incompressible flow, q = ½ ρ u² (Bernoulli).
        const pressure = channel('dynamicPressurePa')!;
        airspeedMps = pressure.map(
          (q, i) => Math.sign(q) * Math.sqrt((2 * Math.abs(q)) / density[i]),
        );
      }
    }
    let eastM: Float64Array | null = null;
    let northM: Float64Array | null = null;
    if (origin && recording.channels.lonDeg) {
      const lat = channel('latDeg')!;
      const lon = channel('lonDeg')!;
      const cosLat = Math.cos(degToRad(origin.latDeg));
      northM = lat.map((value) => degToRad(value - origin.latDeg) * earthRadiusM);
      eastM = lon.map((value) => {
        const turn = ((((value - origin.lonDeg) % 360) + 540) % 360) - 180;
        return degToRad(turn) * earthRadiusM * cosLat;
      });
    }
    const broken = new Uint8Array(time.length);
    broken[0] = 1;
    const pathM = new Float64Array(time.length);
    const workJ = new Float64Array(time.length);
    for (let i = 1; i < time.length; i++) {
      const dt = time[i] - time[i - 1];
      const v0 = Number.isFinite(speedMps[i - 1]) ? speedMps[i - 1] : speedMps[i];
      const v1 = Number.isFinite(speedMps[i]) ? speedMps[i] : v0;
      pathM[i] = pathM[i - 1] + (Number.isFinite(v0 + v1) ? 0.5 * (v0 + v1) * dt : 0);
      const step = 0.5 * (powerW[i - 1] + powerW[i]) * dt;
      const usable =
        dt <= longestStepS &&
        Number.isFinite(step) &&
        Number.isFinite(speedMps[i - 1] + speedMps[i]);
      workJ[i] = workJ[i - 1] + (usable ? step : 0);
      if (!usable || (airspeedMps && !Number.isFinite(airspeedMps[i] + airspeedMps[i - 1]))) {
        broken[i] = 1;
      }
    }
    for (const pause of recording.pauses) {
      for (let i = 1; i < time.length; i++) {
        if (time[i] > pause.fromS && time[i - 1] < pause.toS) broken[i] = 1;
      }
    }
    const yaw = usedAirspeed && coverage(recording.channels.yawDeg, from, to) >= neededCoverage;
    return {
      run: index,
      sheet: run,
      setup: day.setups.find((setup) => setup.id === run.setup)!,
      file: recording.file,
      timeS: time,
      dayOffsetS: offsets.offsetS[index],
      speedMps,
      powerW,
      airspeedMps,
      yawDeg: yaw ? channel('yawDeg') : null,
      altitudeM: usedAltitude ? channel('altitudeM', 30) : null,
      eastM,
      northM,
      airDensityKgM3: density,
      pathM,
      workJ,
      broken,
      lapMarksS: Array.from(recording.lapMarksS).filter(
        (mark) => mark >= time[0] - 1e-6 && mark <= time[time.length - 1] + 1e-6,
      ),
    };
  });
  if (!runs.every((run) => run.yawDeg)) runs.forEach((run) => (run.yawDeg = null));
  return { runs, origin, usedAirspeed, usedAltitude, warnings };
}

/** Seconds to add to each run's file time so that all runs share the clock of the day. */
function dayOffsets(runs: Run[], recordings: Recording[]): { offsetS: number[]; assumed: boolean } {
  for (const clock of ['startEpochS', 'startClockS'] as const) {
    const starts = recordings.map((recording) => recording[clock] ?? null);
    if (starts.some((start) => start === null)) continue;
    const spans = runs.map((run, i) => ({
      start: starts[i]! + (run.fromS ?? 0),
      end: starts[i]! + Math.min(run.toS ?? Infinity, recordings[i].timeS.at(-1) ?? 0),
    }));
    const apart = spans.every((a, i) =>
      spans.every((b, j) => i === j || a.end <= b.start + 1 || b.end <= a.start + 1),
    );
    const first = Math.min(...spans.map((span) => span.start));
    if (apart && Math.max(...spans.map((span) => span.end)) - first < 36 * 3600) {
      return { offsetS: starts.map((start) => start! - first), assumed: false };
    }
  }
  const gapS = 300;
  const offsetS: number[] = [];
  let clock = 0;
  for (let i = 0; i < runs.length; i++) {
    const same = i > 0 && recordings[i].file === recordings[i - 1].file;
    const from = runs[i].fromS ?? 0;
    if (same && from >= (runs[i - 1].fromS ?? 0)) {
      offsetS.push(offsetS[i - 1]);
    } else {
      offsetS.push(clock - from);
    }
    clock = offsetS[i] + Math.min(runs[i].toS ?? Infinity, recordings[i].timeS.at(-1) ?? 0) + gapS;
  }
  const oneFile = recordings.every((recording) => recording.file === recordings[0].file);
  return { offsetS, assumed: !oneFile };
}

/** Air density at each sample, from the recording's own channels where it has all three, else the sheet. */
function airDensity(
  evidence: DayEvidence,
  recording: Recording,
  from: number,
  to: number,
): Float64Array {
  const weather = evidence.day.weather;
  const { temperatureC, pressureHPa, humidityPercent } = recording.channels;
  const enough = (values: Float64Array | undefined) => coverage(values, from, to) >= 0.3;
  const useOwn = enough(temperatureC) && enough(pressureHPa);
  const out = new Float64Array(to - from);
  if (!useOwn) {
    if (!weather) {
      throw new LapbenchError({
        code: 'channel-missing',
        file: recording.file,
        message:
          'Neither the sheet nor the recording says how warm the air is and at what pressure.',
        remedy:
          'Add "weather: {temperatureC: 15, pressureHPa: 1010, relativeHumidityPercent: 60}" to the sheet.',
      });
    }
    return out.fill(airDensityKgM3(weather));
  }
  // Slow quantities: one value for each two minutes is plenty, and spares the sensor's resolution.
  const block = 120;
  let last = {
    temperatureC: weather?.temperatureC ?? mean(temperatureC!, from, to),
    pressureHPa: weather?.pressureHPa ?? mean(pressureHPa!, from, to),
    relativeHumidityPercent: weather?.relativeHumidityPercent ?? 50,
  };
  for (let start = from; start < to; start += block) {
    const end = Math.min(to, start + block);
    const pick = (values: Float64Array | undefined, fallback: number) => {
      const value = values ? mean(values, start, end) : NaN;
      return Number.isFinite(value) ? value : fallback;
    };
    last = {
      temperatureC: pick(temperatureC, last.temperatureC),
      pressureHPa: pick(pressureHPa, last.pressureHPa),
      relativeHumidityPercent: Math.min(
        100,
        Math.max(0, pick(humidityPercent, last.relativeHumidityPercent)),
      ),
    };
    out.fill(airDensityKgM3(last), start - from, end - from);
  }
  return out;
}

/** Mean of the finite values in a window, NaN when there are none. */
function mean(values: Float64Array, from: number, to: number): number {
  let sum = 0;
  let count = 0;
  for (let i = from; i < to; i++) {
    if (Number.isFinite(values[i])) {
      sum += values[i];
      count++;
    }
  }
  return count > 0 ? sum / count : NaN;
}
