/** What the library holds, as its callers see it. */

/** What a listing says of a sheet. The library stores it beside the sheet and does not read sheets. */
export interface SheetFacts {
  title: string;
  /** YYYY-MM-DD, as far as the sheet says. */
  date: string;
  invented: boolean;
  setups: number;
  runs: number;
}

/** A sheet's text with what a listing says of it. */
export interface SheetRecord {
  text: string;
  facts: SheetFacts;
}

/** A recording of a day: the name the sheet uses, and the hash under which its bytes are kept. */
export interface RecordingRef {
  file: string;
  sha256: string;
  bytes: number;
}

/** One day as stored. */
export interface DayRecord extends SheetFacts {
  id: string;
  state: 'draft' | 'kept';
  sheet: string;
  headline: string;
  createdAt: string;
  /** Later at every change, also within one millisecond. */
  changedAt: string;
  /** Null unless the day was removed and not yet purged. */
  removedAt: string | null;
  /** In the order in which they came. */
  recordings: RecordingRef[];
}

/** A finding to store. */
export interface NewFinding {
  /** Name and version of the method, e.g. `field-drag 1`. */
  method: string;
  /** The sheet it was made from, so that it can be made again. */
  sheet: string;
  /** Recordings it rests on, by hash. */
  inputs: { file: string; sha256: string }[];
  /** Plain data, stored as JSON. */
  result: unknown;
  /** The caller's mark of all it was made from, to find out whether it still holds. Default empty. */
  key?: string;
  /** One sentence for the list of days. */
  headline: string;
}

/** A finding as stored; a day keeps all of them, the newest is current. */
export interface FindingRecord {
  id: number;
  day: string;
  method: string;
  madeAt: string;
  key: string;
  sheetSha256: string;
  sheet: string;
  inputs: { file: string; sha256: string }[];
  result: unknown;
}

/** A new day: a sheet, and where they are at hand its recordings and its finding. */
export interface NewDay {
  sheet: SheetRecord;
  recordings?: { file: string; bytes: Uint8Array }[];
  /** Stored with the day, which is then kept. */
  finding?: NewFinding;
  /** Shown in lists while there is no finding. */
  headline?: string;
}

/** A new bench item: readings or a wheel sheet as written, with what was made of them. */
export interface NewBenchItem {
  kind: 'stiffness' | 'tension' | 'wheel';
  title: string;
  /** YYYY-MM-DD, as far as it is known. */
  date: string;
  /** Name or id of the setup that it belongs to, as the person writes it; may be empty. */
  setup: string;
  /** CSV or YAML as written, sound or not. */
  input: string;
  /** Plain data, stored as JSON. */
  options: unknown;
  /** Plain data, stored as JSON; null while nothing can be made of the input. */
  result: unknown;
  /** Name and version of the method that made the result; empty without one. */
  method: string;
  /** One sentence for the list. */
  headline: string;
}

/** A bench item as stored. */
export interface BenchItemRecord extends NewBenchItem {
  id: string;
  createdAt: string;
  /** Later at every change, also within one millisecond. */
  changedAt: string;
  /** Null unless the item was removed. */
  removedAt: string | null;
}

/** A new sound on a file that is in the library. */
export interface NewSoundItem {
  kind: 'noise' | 'plucks';
  title: string;
  /** YYYY-MM-DD. */
  date: string;
  setup: string;
  /** Plain data, stored as JSON. */
  options: unknown;
  /** See `SoundFiles`. */
  fileId: string;
  /** A ride recording that came in the same way; null without one. */
  rideId: string | null;
}

/** A sound as stored, with what is known of its file. */
export interface SoundRecord extends NewSoundItem {
  id: string;
  file: string;
  bytes: number;
  sha256: string;
  /** `waiting`: no analysis yet, or one that was under way when the program ended. */
  state: 'waiting' | 'ready' | 'refused' | 'stopped';
  durationS: number | null;
  headline: string;
  createdAt: string;
  /** Later at every change, also within one millisecond. */
  changedAt: string;
  removedAt: string | null;
}
