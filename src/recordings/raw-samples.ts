import type { ChannelName, Recording } from '../core/evidence/index.ts';
import type { Problem } from '../core/units/index.ts';

/** A moment on the file's own clock at which a lap begins or ends. */
export interface RawLapMark {
  timeS: number;
  /** Index of the first sample after the mark, where the format tells; settles which side of a clock reset it is on. */
  sample?: number;
}

/** What a reader takes out of a file, before the treatment that all formats share (`normalise.ts`). */
export interface RawSamples {
  file: string;
  format: Recording['format'];
  /** Number of samples; all columns are at least this long. */
  count: number;
  /** The file's own clock, s; NaN where a sample has no time. Not yet in order. */
  timeS: Float64Array;
  /** True when `timeS` counts from 1970-01-01 UTC. */
  hasEpoch: boolean;
  channels: Partial<Record<ChannelName, Float64Array>>;
  lapMarks: RawLapMark[];
  /** Stretches with the timer stopped, on the file's own clock. */
  timerPauses: { fromS: number; toS: number }[];
  warnings: Problem[];
}

/** A column of `count` missing values. */
export function missingColumn(count: number): Float64Array {
  return new Float64Array(count).fill(NaN);
}

/** Columns that grow as a stream of samples comes in; a missing value is NaN. */
export class SampleColumns {
  count = 0;
  private size = 1024;
  private time = missingColumn(this.size);
  private readonly columns = new Map<ChannelName, Float64Array>();

  /** Begins a sample with the time given (NaN when it has none). */
  begin(timeS: number): void {
    if (this.count === this.size) this.grow();
    this.time[this.count] = timeS;
    this.count += 1;
  }

  /** Sets a value of the sample begun last. */
  set(channel: ChannelName, value: number): void {
    this.column(channel)[this.count - 1] = value;
  }

  /** The column as it is now, to be written to directly until the next `begin`. */
  column(channel: ChannelName): Float64Array {
    let column = this.columns.get(channel);
    if (column === undefined) {
      column = missingColumn(this.size);
      this.columns.set(channel, column);
    }
    return column;
  }

  finish(): Pick<RawSamples, 'count' | 'timeS' | 'channels'> {
    return { count: this.count, timeS: this.time, channels: Object.fromEntries(this.columns) };
  }

  private grow(): void {
    this.size *= 2;
    const longer = (column: Float64Array): Float64Array => {
      const grown = missingColumn(this.size);
      grown.set(column);
      return grown;
    };
    this.time = longer(this.time);
    for (const [channel, column] of this.columns) this.columns.set(channel, longer(column));
  }
}
