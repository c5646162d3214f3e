import FitParser from 'fit-file-parser';
import type { ChannelName } from '../core/evidence/index.ts';
import type { Problem } from '../core/units/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import { compactBlocks } from './fit-compact.ts';
import type { FieldDescription, FitSource } from './fit-fields.ts';
import { fitSources } from './fit-fields.ts';
import { epochS, lapMarks, overlappingLaps, type FitMessage } from './fit-laps.ts';
import type { FitPart } from './fit-structure.ts';
import { outlineFit } from './fit-structure.ts';
import type { RecordingLimits } from './limits.ts';
import type { RawSamples } from './raw-samples.ts';
import { SampleColumns } from './raw-samples.ts';

/** What is taken from the library's result. */
interface FitContents {
  records: FitMessage[];
  laps: FitMessage[];
  events: FitMessage[];
  field_descriptions: FieldDescription[];
}

/**
 * Reads a FIT recording through fit-file-parser. Damaged and cut-off files give what comes before the
 * fault, with a warning; several FIT files one after the other count as one recording.
 *
 * @throws LapbenchError `format-damaged`, `format-truncated` or `recording-too-short` when no record can
 * be read, `file-too-large` beyond the limits.
 */
export function readFit(bytes: Uint8Array, file: string, limits: RecordingLimits): RawSamples {
  const warnings: Problem[] = [];
  const samples = new FitSamples(file);
  let messages = 0;
  for (let at = 0; at < bytes.length;) {
    const part = outlineFit(bytes, at, limits.maxFitMessages - messages);
    if (part === null) {
      if (at === 0) throw new LapbenchError(damagedHeader(file));
      warnings.push(bytesAfter(bytes.length - at, at, file));
      break;
    }
    messages += part.wantedMessages;
    if (messages > limits.maxFitMessages) throw new LapbenchError(tooManyMessages(file, limits));
    warnings.push(...partWarnings(part, bytes, file));
    const header = bytes.subarray(part.from, part.from + part.headerBytes);
    for (const block of compactBlocks(bytes, header, part)) samples.take(readBlock(block, file));
    if (part.truncated || part.faults.length > 0) break;
    at = part.declaredEnd + 2;
  }
  const raw = samples.finish(warnings);
  if (raw.count === 0) throw new LapbenchError([...warnings, noRecords(file)]);
  return raw;
}

/** Hands a block of the file to the library. */
function readBlock(block: Uint8Array, file: string): FitContents {
  let contents: Partial<FitContents> | undefined;
  let fault: string | undefined;
  try {
    new FitParser({ mode: 'list', force: true }).parse(
      block.buffer as ArrayBuffer,
      (error, data) => {
        fault = error;
        contents = data as unknown as Partial<FitContents>;
      },
    );
  } catch (error) {
    fault = error instanceof Error ? error.message : String(error);
  }
  if (contents === undefined) {
    throw new LapbenchError({
      code: 'format-damaged',
      file,
      message: `The FIT messages cannot be read (${fault ?? 'no reason given'}).`,
      remedy: 'Copy the file from the device again, or export it anew.',
    });
  }
  const { records = [], laps = [], events = [], field_descriptions = [] } = contents;
  return { records, laps, events, field_descriptions };
}

/** Gathers what the library gives, block by block. */
class FitSamples {
  private readonly file: string;
  private readonly columns = new SampleColumns();
  private readonly laps: FitMessage[] = [];
  private readonly events: FitMessage[] = [];
  private sources: readonly FitSource[] = [];
  private sourcesKey: string | null = null;
  private readonly fieldWarnings = new Map<string, Problem>();

  constructor(file: string) {
    this.file = file;
  }

  take({ records, laps, events, field_descriptions }: FitContents): void {
    const sources = this.sourcesFor(field_descriptions);
    const first = this.columns.count;
    for (const { timestamp } of records) this.columns.begin(epochS(timestamp));
    // How many samples of this block have a value already: where all do, the next best field is not needed.
    const filled = new Map<ChannelName, number>();
    for (const { field, channel, convert } of sources) {
      let present = filled.get(channel) ?? 0;
      if (present === records.length) continue;
      let column: Float64Array | null = null;
      for (let i = 0; i < records.length; i += 1) {
        const value = records[i][field];
        if (typeof value !== 'number') continue;
        column ??= this.columns.column(channel);
        if (!Number.isNaN(column[first + i])) continue;
        column[first + i] = convert === null ? value : convert(value);
        present += 1;
      }
      filled.set(channel, present);
    }
    this.laps.push(...laps);
    this.events.push(...events);
  }

  /** Blocks mostly bring the same descriptions again. */
  private sourcesFor(descriptions: readonly FieldDescription[]): readonly FitSource[] {
    const key = descriptions
      .map(({ field_name, units }) => `${String(field_name)}\n${String(units)}`)
      .join('\n');
    if (key !== this.sourcesKey) {
      const { sources, warnings } = fitSources(descriptions, this.file);
      for (const warning of warnings) this.fieldWarnings.set(warning.message, warning);
      this.sources = sources;
      this.sourcesKey = key;
    }
    return this.sources;
  }

  finish(warnings: Problem[]): RawSamples {
    return {
      ...this.columns.finish(),
      file: this.file,
      format: 'fit',
      hasEpoch: true,
      lapMarks: lapMarks(this.laps),
      timerPauses: timerPauses(this.events),
      warnings: [
        ...warnings,
        ...this.fieldWarnings.values(),
        ...overlappingLaps(this.laps, this.file),
      ],
    };
  }
}

/** From each stop of the timer to the start that follows; the stop at the end of the ride is no pause. */
function timerPauses(events: FitMessage[]): RawSamples['timerPauses'] {
  const pauses: RawSamples['timerPauses'] = [];
  let stoppedS = NaN;
  for (const { event, event_type: kind, timestamp } of events) {
    if (event !== 'timer' || typeof kind !== 'string') continue;
    const atS = epochS(timestamp);
    if (kind.startsWith('stop')) {
      if (Number.isNaN(stoppedS)) stoppedS = atS;
    } else if (kind === 'start') {
      if (atS > stoppedS) pauses.push({ fromS: stoppedS, toS: atS });
      stoppedS = NaN;
    }
  }
  return pauses;
}

function partWarnings(part: FitPart, bytes: Uint8Array, file: string): Problem[] {
  const warnings: Problem[] = [];
  const copyAgain = 'Copy the file from the device again if it is still there.';
  if (part.faults.length > 0) {
    const n = part.faults.length;
    const goneOn = part.walkedTo > part.faults[n - 1];
    warnings.push({
      code: 'format-damaged',
      file,
      place: { byte: part.faults[0] },
      message: `The FIT messages make no sense ${n === 1 ? 'here' : `at ${n} places, first here`}; the ${part.records} records ${goneOn ? 'before and after' : 'before'} are read.`,
      remedy: copyAgain,
    });
  } else if (part.truncated) {
    const missing = part.declaredEnd - bytes.length;
    warnings.push({
      code: 'format-truncated',
      file,
      place: { byte: bytes.length },
      message: `The file ends ${missing > 0 ? `${missing} ${missing === 1 ? 'byte' : 'bytes'} ` : ''}before the recording does; the ${part.records} whole records are read.`,
      remedy: copyAgain,
    });
  }
  if (part.headerCrc === 'wrong' || part.fileCrc === 'wrong') {
    const which = part.fileCrc === 'wrong' ? 'file' : 'header';
    warnings.push({
      code: 'checksum-wrong',
      file,
      message: `The checksum of the ${which} is wrong: some bytes are not as they were written. What can be read is used.`,
      remedy: copyAgain,
    });
  } else if (part.fileCrc === 'none' && !part.truncated) {
    warnings.push({
      code: 'checksum-wrong',
      file,
      message: 'The checksum at the end of the file is missing.',
    });
  }
  return warnings;
}

function bytesAfter(count: number, at: number, file: string): Problem {
  return {
    code: 'format-damaged',
    file,
    place: { byte: at },
    message: `${count} bytes after the end of the recording are not read.`,
  };
}

function damagedHeader(file: string): Problem {
  return {
    code: 'format-damaged',
    file,
    place: { byte: 0 },
    message: 'The header is not that of a FIT file.',
    remedy: 'Copy the file from the device again, or export it anew.',
  };
}

function tooManyMessages(file: string, limits: RecordingLimits): Problem {
  return {
    code: 'file-too-large',
    file,
    message: `The file has more than ${limits.maxFitMessages.toLocaleString('en')} records.`,
    remedy: 'Cut the recording to the test day.',
  };
}

function noRecords(file: string): Problem {
  return {
    code: 'recording-too-short',
    file,
    message: 'No record of a ride can be read from this FIT file.',
    remedy: 'Choose the file of an activity, not one of settings or a course.',
  };
}
