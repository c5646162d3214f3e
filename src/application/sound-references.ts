/** What a sound refers to elsewhere in the library: wheel, tensions, ride. */
import type { Recording } from '../core/evidence/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import type { Library } from '../library/index.ts';
import { readRecording } from '../recordings/index.ts';
import type { Bench } from './bench-contract.ts';
import type { NamedText } from './bench-text.ts';
import type { NoiseOptions, TensionFinding } from './contract.ts';
import { maximumFileBytes, sha256 } from './edges.ts';
import { columnMapOf } from './sheet.ts';

export interface RideFile {
  sha256: string;
  read: () => Promise<Recording>;
}

/** Each answers null for what is not there, or no longer. */
export interface SoundReferences {
  wheel(id: string): NamedText | null;
  /** By spoke number. */
  tensions(id: string): Promise<{ sha256: string; tensionsN: Map<number, number> } | null>;
  ride(ride: NonNullable<NoiseOptions['ride']>): RideFile | null;
}

/** In a library. */
export function referencesIn(library: Library, bench: Bench): SoundReferences {
  return {
    wheel(id) {
      const item = library.benchItems.get(id);
      if (!item || item.kind !== 'wheel' || item.removedAt !== null) return null;
      return { text: item.input, file: item.title };
    },
    async tensions(id) {
      const item = library.benchItems.get(id);
      if (!item || item.kind !== 'tension' || item.removedAt !== null) return null;
      const { result } = (await bench.view(id)) as { result: TensionFinding | null };
      if (!result) return null;
      const pairs = result.spokes.map(({ spoke, tensionN }): [number, number] => [spoke, tensionN]);
      return { sha256: sha256(JSON.stringify(pairs)), tensionsN: new Map(pairs) };
    },
    ride(ride) {
      if ('upload' in ride) return uploadedRide(library, ride.upload, ride.file);
      const day = library.getDay(ride.day);
      const found = day?.recordings.find(({ file }) => file === ride.file);
      if (!day || day.removedAt !== null || !found) return null;
      const columnMap = columnMapOf(day.sheet);
      return {
        sha256: found.sha256,
        read: async () =>
          Promise.resolve(
            readRecording(library.getRecordingBytes(found.sha256), ride.file, { columnMap }),
          ),
      };
    },
  };
}

function uploadedRide(library: Library, id: string, file: string): RideFile | null {
  const record = library.soundFiles.get(id);
  if (!record || record.sha256 === null) return null;
  return {
    sha256: record.sha256,
    read: async () => {
      if (record.bytes > maximumFileBytes) {
        throw new LapbenchError({
          code: 'file-too-large',
          file,
          message: `The ride recording has ${(record.bytes / 1e6).toFixed(0)} MB; at most ${maximumFileBytes / 1e6} MB are read.`,
          remedy: 'Cut it to the hours of the ride.',
        });
      }
      return readRecording(await library.soundFiles.reader(id).read(0, record.bytes), file);
    },
  };
}

/** Said beside a finding that something it refers to is missing from. */
export function referenceGone(field: string, what: string): Problem {
  return {
    code: 'sound-removed',
    place: { field: `options.${field}` },
    message: `The ${what} that this refers to is no longer in the library.`,
    remedy: 'Restore it, choose another, or choose none. Until then it counts as none.',
  };
}

/** Refused: what is newly referred to is not there. */
export function notThere(field: string, what: string): LapbenchError {
  return new LapbenchError({
    code: 'usage',
    place: { field: `options.${field}` },
    message: `The library holds no such ${what}.`,
    remedy: 'Choose one that is there, or none.',
  });
}
