/** The library as a day store. */
import type { DayRecord, Library, NewFinding } from '../library/index.ts';
import type { FieldDragFinding } from './contract.ts';
import type { DayStore, FindingToKeep, StoredDay } from './day-store.ts';

export function libraryStore(library: Library): DayStore {
  return {
    list: (removed) => library.listDays({ removed }).map(storedDay),
    day: (id) => {
      const day = library.getDay(id);
      return day && storedDay(day);
    },
    create: ({ sheet, files, kept, headline }) =>
      library.createDay({
        sheet,
        recordings: files,
        finding: kept && newFinding(kept),
        headline,
      }),
    saveSheet: (id, sheet) => library.updateSheet(id, sheet),
    addFile: (id, file, bytes, sheet) => void library.addRecording(id, file, bytes, sheet),
    removeFile: (id, file, sheet) => library.removeRecording(id, file, sheet),
    bytes: (sha256) => library.getRecordingBytes(sha256),
    kept: (id) => {
      const found = library.currentFinding(id);
      return found && { finding: found.result as FieldDragFinding, key: found.key };
    },
    keep: (id, kept) => void library.putFinding(id, newFinding(kept)),
    remove: (id) => library.removeDay(id),
    restore: (id) => library.restoreDay(id),
    close: () => library.close(),
  };
}

function storedDay({ recordings, removedAt, ...day }: DayRecord): StoredDay {
  return { ...day, files: recordings, removed: removedAt !== null };
}

function newFinding({ finding, key, headline, sheet }: FindingToKeep): NewFinding {
  const { method, inputs } = finding;
  return { method, sheet, inputs, result: finding, key, headline };
}
