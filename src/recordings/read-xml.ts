import { SaxesParser } from 'saxes';
import type { ChannelName } from '../core/evidence/index.ts';
import type { Problem } from '../core/units/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import { readIsoTime } from './csv-cell.ts';
import type { RecordingLimits } from './limits.ts';
import type { RawLapMark, RawSamples } from './raw-samples.ts';
import { SampleColumns } from './raw-samples.ts';
import { channelOfElement } from './xml-elements.ts';

/** Bytes handed to the parser at a time. */
const pieceBytes = 65_536;
/** Deeper nesting than this is no recording. */
const deepest = 64;
/** Longer text in an element of a track point is no number. */
const longestText = 100;
/** Encodings a declaration may name; anything else is read as UTF-8. */
const encodings = new Set(['utf-8', 'us-ascii', 'iso-8859-1', 'iso-8859-15', 'windows-1252']);

/** Raised inside the parser's handlers to stop it. */
class Stop extends Error {
  readonly problem: Problem;
  constructor(problem: Problem) {
    super(problem.message);
    this.problem = problem;
  }
}

/**
 * Reads a TCX or GPX recording, a piece at a time. Power, speed, airspeed and other extensions are found
 * by the local name of their element. A file that is cut off or malformed gives what comes before, with a
 * warning. Document type declarations are refused: recordings have none, and they can name other files.
 *
 * @param route take every point, a second apart, whether or not it has a time: a planned road, not a ride
 * @throws LapbenchError `format-unknown` for other XML, `format-damaged` or `format-truncated` when no
 * track point can be read, `file-too-large` beyond the limits.
 */
export function readXml(
  bytes: Uint8Array,
  file: string,
  limits: RecordingLimits,
  route = false,
): RawSamples {
  const track = new TrackReader(file, limits, route);
  const parser = new SaxesParser({ position: true });
  parser.on('doctype', () => {
    throw new Stop({
      code: 'format-damaged',
      file,
      place: { line: parser.line },
      message: 'The file has a document type declaration, which no recording needs.',
      remedy: 'Export the ride again from the device.',
    });
  });
  parser.on('error', (error) => {
    // The parser's message begins with the place, which is kept apart here.
    const reason = error.message.replace(/^(undefined|\S*):?\d+:\d+: /, '');
    const cutOff = reason.includes('unclosed') || reason.includes('unexpected end');
    throw new Stop({
      code: cutOff ? 'format-truncated' : 'format-damaged',
      file,
      place: { line: parser.line, column: parser.column },
      message: cutOff
        ? 'The file ends in the middle.'
        : `The XML is not well formed from here on (${reason}).`,
      remedy: 'Copy the file from the device again if it is still there.',
    });
  });
  parser.on('opentag', ({ name, attributes }) =>
    track.open(name, attributes as Record<string, string>, parser.line),
  );
  parser.on('text', (text) => track.text(text));
  parser.on('closetag', ({ name }) => track.close(name));

  const decoder = new TextDecoder(declaredEncoding(bytes));
  let damage: Problem | null = null;
  try {
    for (let at = 0; at < bytes.length; at += pieceBytes) {
      parser.write(decoder.decode(bytes.subarray(at, at + pieceBytes), { stream: true }));
    }
    parser.write(decoder.decode());
    parser.close();
  } catch (error) {
    if (error instanceof LapbenchError || !(error instanceof Stop)) throw error;
    damage = error.problem;
  }
  return track.finish(damage);
}

/** Gathers samples from the elements of TCX and GPX as they come. */
class TrackReader {
  private readonly file: string;
  private readonly limits: RecordingLimits;
  private readonly columns = new SampleColumns();
  private readonly lapMarks: RawLapMark[] = [];
  private readonly timerPauses: RawSamples['timerPauses'] = [];
  private readonly warnings: Problem[] = [];
  private format: 'tcx' | 'gpx' | null = null;
  private depth = 0;
  private laps = 0;
  /** Values of the track point being read; null outside one. */
  private point: Map<ChannelName, number> | null = null;
  private pointTimeS = NaN;
  private collected: string | null = null;
  private lastTimeS = NaN;
  /** A new segment has begun since the last track point of the same lap. */
  private newSegment = false;
  /** A lap has begun, and no track in it yet. */
  private lapBegun = false;
  private unread = 0;
  private firstUnread: { line: number; text: string; name: string } | null = null;
  private openLine = 0;
  private readonly route: boolean;

  constructor(file: string, limits: RecordingLimits, route: boolean) {
    this.file = file;
    this.route = route;
    this.limits = limits;
  }

  open(name: string, attributes: Record<string, string>, line: number): void {
    const local = localName(name);
    this.depth += 1;
    if (this.depth === 1) this.format = this.rootFormat(local);
    if (this.depth > deepest)
      throw new LapbenchError(this.damaged('Its elements are nested too deep.'));
    this.openLine = line;
    switch (local) {
      case 'trkpt':
      case 'Trackpoint':
      case 'rtept':
        if (local === 'rtept' && !this.route) break;
        this.point = new Map();
        this.pointTimeS = NaN;
        this.setNumber('latDeg', attributes.lat);
        this.setNumber('lonDeg', attributes.lon);
        break;
      case 'Lap':
        this.beginLap(attributes.StartTime);
        break;
      case 'trkseg':
      case 'Track':
        // The first track of a lap follows on from the lap before.
        this.newSegment = !this.lapBegun && !Number.isNaN(this.lastTimeS);
        this.lapBegun = false;
        break;
    }
    this.collected = this.point === null ? null : '';
  }

  text(text: string): void {
    if (this.collected !== null && this.collected.length <= longestText) this.collected += text;
  }

  close(name: string): void {
    const local = localName(name);
    this.depth -= 1;
    if (this.point === null) return;
    if (local === 'trkpt' || local === 'Trackpoint' || local === 'rtept') {
      this.endPoint(this.point);
      this.point = null;
    } else if (this.collected !== null && this.collected.trim() !== '') {
      this.take(local, this.collected.trim());
    }
    this.collected = null;
  }

  finish(damage: Problem | null): RawSamples {
    const { file } = this;
    if (this.columns.count === 0) {
      const empty: Problem = {
        code: 'recording-too-short',
        file,
        message: 'No track point can be read from this file.',
        remedy: 'Export the ride with its track.',
      };
      throw new LapbenchError(damage ?? empty);
    }
    if (damage !== null) {
      const message = `${damage.message} The ${this.columns.count} track points before are read.`;
      this.warnings.push({ ...damage, message });
    }
    if (this.firstUnread !== null) {
      const { name, text, line } = this.firstUnread;
      this.warnings.push({
        code: 'value-invalid',
        file,
        place: { line },
        message: `"${text}" in ${name} cannot be read; ${this.unread} such ${this.unread === 1 ? 'value is' : 'values are'} taken as missing.`,
      });
    }
    return {
      ...this.columns.finish(),
      file,
      format: this.format ?? 'gpx',
      hasEpoch: true,
      lapMarks: this.lapMarks,
      timerPauses: this.timerPauses,
      warnings: this.warnings,
    };
  }

  private rootFormat(local: string): 'tcx' | 'gpx' {
    if (local === 'gpx') return 'gpx';
    if (local === 'TrainingCenterDatabase') return 'tcx';
    throw new LapbenchError({
      code: 'format-unknown',
      file: this.file,
      message: `The file is XML, but neither TCX nor GPX (its outermost element is ${local.slice(0, 40)}).`,
      remedy: 'Give a FIT, TCX, GPX or CSV recording.',
    });
  }

  private beginLap(startTime: string | undefined): void {
    this.laps += 1;
    this.lapBegun = true;
    const timeS = readIsoTime(startTime ?? '');
    if (this.laps > 1 && !Number.isNaN(timeS))
      this.lapMarks.push({ timeS, sample: this.columns.count });
  }

  private take(local: string, text: string): void {
    if (local === 'Time' || local === 'time') {
      this.pointTimeS = readIsoTime(text);
      if (Number.isNaN(this.pointTimeS)) this.countUnread(local, text);
      return;
    }
    // Heart rate and cadence are wrapped as <Value> in TCX; only the channel's own element counts here.
    const channel = channelOfElement(local);
    if (channel !== undefined) this.setNumber(channel, text, local);
  }

  private setNumber(channel: ChannelName, text: string | undefined, name: string = channel): void {
    if (text === undefined) return;
    const value = /^\s*[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?\s*$/i.test(text) ? Number(text) : NaN;
    if (Number.isFinite(value)) this.point?.set(channel, value);
    else this.countUnread(name, text);
  }

  private countUnread(name: string, text: string): void {
    this.unread += 1;
    this.firstUnread ??= { name, text: text.slice(0, 40), line: this.openLine };
  }

  private endPoint(point: Map<ChannelName, number>): void {
    if (this.columns.count >= this.limits.maxSamples) {
      throw new LapbenchError({
        code: 'file-too-large',
        file: this.file,
        message: `The file has more than ${this.limits.maxSamples.toLocaleString('en')} track points.`,
        remedy: 'Cut the recording to the test day.',
      });
    }
    const timeS = this.route ? this.columns.count : this.pointTimeS;
    this.columns.begin(timeS);
    for (const [channel, value] of point) this.columns.set(channel, value);
    if (Number.isNaN(timeS)) return;
    // A new segment within a lap stands for a timer that was stopped between.
    if (this.newSegment && timeS > this.lastTimeS)
      this.timerPauses.push({ fromS: this.lastTimeS, toS: timeS });
    this.newSegment = false;
    this.lastTimeS = timeS;
  }

  private damaged(message: string): Problem {
    return {
      code: 'format-damaged',
      file: this.file,
      message,
      remedy: 'Export the ride again from the device.',
    };
  }
}

function localName(name: string): string {
  return name.slice(name.indexOf(':') + 1);
}

/** The encoding that the XML declaration names, where it is one of the usual ones. */
function declaredEncoding(bytes: Uint8Array): string {
  const head = new TextDecoder('latin1').decode(bytes.subarray(0, 200));
  const name = /^\s*<\?xml[^>]*encoding\s*=\s*["']([\w-]+)["']/.exec(head)?.[1].toLowerCase();
  return name !== undefined && encodings.has(name) ? name : 'utf-8';
}
