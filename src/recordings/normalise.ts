import type { ChannelName, Recording } from '../core/evidence/index.ts';
import { channelNames } from '../core/evidence/index.ts';
import type { Problem } from '../core/units/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import type { SteadyClock } from './clock.ts';
import { steadyClock } from './clock.ts';
import { pathLengthM, speedFromDistance } from './derive-speed.ts';
import { findPauses } from './pauses.ts';
import { channelTitle, channelUnit, plausibleRange } from './plausible.ts';
import type { RawSamples } from './raw-samples.ts';

/** A lap button may be pressed this long before the first sample or after the last and still count there. */
const markLeewayS = 1;
/** Below this share of samples with a value, a main channel is called partial. */
const partialShare = 0.9;

/**
 * The treatment all formats share: one clock that moves forward, missing values as NaN, values that no
 * ride has taken out, speed worked out where the file has none, laps and pauses on the recording's clock.
 * Nothing is filled in between samples.
 *
 * @throws LapbenchError `recording-too-short` when fewer than two samples are left.
 */
export function normalise(raw: RawSamples): Recording {
  const { file, format } = raw;
  const clock = steadyClock(raw);
  const n = clock.timeS.length;
  if (n < 2) {
    throw new LapbenchError([
      {
        code: 'recording-too-short',
        file,
        message: `The file holds ${n === 0 ? 'no sample' : 'only one sample'} with a time.`,
        remedy: 'Export the ride again with its samples, not only its summary.',
      },
      ...raw.warnings,
    ]);
  }
  const warnings: Problem[] = [...raw.warnings, ...clock.warnings];
  const channels: Recording['channels'] = {};
  for (const name of channelNames) {
    const column = raw.channels[name];
    if (column === undefined) continue;
    const values = gather(column, clock, raw.count);
    warnings.push(...takeOutImpossible(file, name, values, clock.timeS));
    channels[name] = values;
  }
  takeOutNullPositions(channels);
  for (const name of channelNames)
    if (channels[name] && presentIn(channels[name]) === 0) delete channels[name];

  warnings.push(...addMissingSpeed(file, clock.timeS, channels));
  warnings.push(...channelWarnings(file, channels, n));
  const { pauses, warnings: pauseWarnings } = findPauses(file, clock, raw.timerPauses);
  warnings.push(...pauseWarnings);

  return {
    file,
    format,
    timeS: clock.timeS,
    startEpochS: clock.startEpochS,
    startClockS: clock.startClockS,
    channels,
    lapMarksS: lapMarks(raw, clock),
    pauses,
    warnings,
  };
}

/** Values of the kept samples; where several share one time, the mean of those that have a value. */
function gather(column: Float64Array, clock: SteadyClock, count: number): Float64Array {
  const n = clock.kept.length;
  const values = new Float64Array(n);
  for (let k = 0; k < n; k += 1) {
    const first = clock.kept[k];
    values[k] = column[first];
    const next = k + 1 < n ? clock.kept[k + 1] : count;
    if (next === first + 1) continue;
    let sum = 0;
    let present = 0;
    for (let i = first; i < next; i += 1) {
      if (clock.keptIndex[i] !== k || !Number.isFinite(column[i])) continue;
      sum += column[i];
      present += 1;
    }
    values[k] = present > 0 ? sum / present : NaN;
  }
  return values;
}

function takeOutImpossible(
  file: string,
  name: ChannelName,
  values: Float64Array,
  timeS: Float64Array,
): Problem[] {
  const [low, high] = plausibleRange[name];
  let taken = 0;
  let first = -1;
  let firstValue = NaN;
  for (let i = 0; i < values.length; i += 1) {
    const value = values[i];
    if (Number.isNaN(value) || (value >= low && value <= high)) continue;
    if (taken === 0) {
      first = i;
      firstValue = value;
    }
    taken += 1;
    values[i] = NaN;
  }
  if (taken === 0) return [];
  const which = `${channelTitle[name]} of ${Number(firstValue.toPrecision(6))} ${channelUnit[name]}`;
  return [
    {
      code: 'value-invalid',
      file,
      place: { timeS: timeS[first], sample: first },
      message: `${which} cannot be (outside ${low} to ${high} ${channelUnit[name]}); ${taken} such ${taken === 1 ? 'value is' : 'values are'} taken as missing.`,
      ...(taken > values.length / 2 && { remedy: 'Check the unit of this channel.' }),
    },
  ];
}

/** Receivers without a fix write 0, 0; half a position is none. */
function takeOutNullPositions(channels: Recording['channels']): void {
  const { latDeg, lonDeg } = channels;
  if (latDeg === undefined || lonDeg === undefined) {
    delete channels.latDeg;
    delete channels.lonDeg;
    return;
  }
  for (let i = 0; i < latDeg.length; i += 1) {
    const none =
      Number.isNaN(latDeg[i]) || Number.isNaN(lonDeg[i]) || (latDeg[i] === 0 && lonDeg[i] === 0);
    if (none) latDeg[i] = lonDeg[i] = NaN;
  }
}

function addMissingSpeed(
  file: string,
  timeS: Float64Array,
  channels: Recording['channels'],
): Problem[] {
  if (channels.speedMps !== undefined) return [];
  const { distanceM, latDeg, lonDeg } = channels;
  const source = distanceM !== undefined ? 'distance' : 'positions';
  const distance = distanceM ?? (latDeg && lonDeg && pathLengthM(latDeg, lonDeg));
  const speed = distance && speedFromDistance(timeS, distance);
  if (speed === undefined || presentIn(speed) === 0) return [];
  const [, high] = plausibleRange.speedMps;
  for (let i = 0; i < speed.length; i += 1) if (speed[i] > high) speed[i] = NaN;
  channels.speedMps = speed;
  return [
    {
      code: 'channel-missing',
      file,
      message: `The file has no speed; it is worked out from ${source}.`,
      remedy: 'A wheel sensor for speed makes the finding sharper.',
    },
  ];
}

function channelWarnings(file: string, channels: Recording['channels'], n: number): Problem[] {
  const warnings: Problem[] = [];
  for (const name of ['speedMps', 'powerW'] as const) {
    if (channels[name] !== undefined) continue;
    warnings.push({
      code: 'channel-missing',
      file,
      message: `The file has no ${channelTitle[name]}.`,
      remedy:
        name === 'powerW'
          ? 'Drag cannot be worked out without power: check that the power meter was paired.'
          : 'Record speed, distance or positions.',
    });
  }
  for (const name of ['speedMps', 'powerW', 'airspeedMps'] as const) {
    const values = channels[name];
    if (values === undefined) continue;
    const present = presentIn(values);
    if (present >= partialShare * n) continue;
    const share = Math.round((100 * present) / n);
    warnings.push({
      code: 'channel-partial',
      file,
      message: `The ${channelTitle[name]} has a value in ${share} % of the samples; the rest stay missing.`,
    });
  }
  return warnings;
}

/** How many values are not missing. */
function presentIn(values: Float64Array): number {
  let present = 0;
  for (let i = 0; i < values.length; i += 1) if (!Number.isNaN(values[i])) present += 1;
  return present;
}

/** Marks on the recording's clock, increasing, from its first sample to its last. */
function lapMarks(raw: RawSamples, clock: SteadyClock): Float64Array {
  const endS = clock.timeS[clock.timeS.length - 1];
  const marks = raw.lapMarks
    .map(({ timeS, sample }) => clock.toRecordingS(timeS, sample))
    .filter((markS) => markS > -markLeewayS && markS < endS + markLeewayS)
    .map((markS) => Math.min(Math.max(markS, 0), endS))
    .sort((a, b) => a - b);
  return Float64Array.from(marks.filter((markS, i) => i === 0 || markS > marks[i - 1]));
}
