import type { DayEvidence, Recording } from '../../evidence/index.ts';
import { airDensityKgM3 } from '../../physics/index.ts';
import { LapbenchError } from '../../units/index.ts';
import { coverage } from './coverage.ts';

/** Air density at each sample, from the recording's own channels where it has all three, else the sheet. */
export function airDensity(
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
