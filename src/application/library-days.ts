/** Days and bench items in a library file: the use cases with their real edges. */
import { randomUUID } from 'node:crypto';
import { openLibrary, type Verification } from '../library/index.ts';
import type { Bench } from './bench-contract.ts';
import { benchVersion } from './bench-maker.ts';
import type { Days } from './days-contract.ts';
import { demoDay } from './demo.ts';
import { isDemoBench, makeDemoBench } from './demo-bench.ts';
import { makeDemoSounds } from './demo-sounds.ts';
import { isDemoSound } from './demo-sounds-names.ts';
import { directWorkbench } from './direct-workbench.ts';
import type { ReadFile } from './edges.ts';
import { keepDaySheet, type KeptDay } from './keep-sheet.ts';
import { libraryStore } from './library-store.ts';
import { benchOver } from './stored-bench.ts';
import { referencesIn } from './sound-references.ts';
import { SoundThreads } from './sound-threads.ts';
import type { Sounds } from './sounds-contract.ts';
import { daysOver } from './stored-days.ts';
import { soundsOver } from './stored-sounds.ts';
import { threadWorkbench } from './thread-workbench.ts';

/** An open library, to be closed with `close`. */
export interface LibraryDays {
  days: Days;
  bench: Bench;
  sounds: Sounds;
  /** Closes the library, after what is under way. */
  close: () => Promise<void>;
  /** Keeps a day that lies in a folder: see `keepDaySheet`. */
  keepSheet: (text: string, sheetFile: string, readFile: ReadFile) => Promise<KeptDay>;
  /** Writes a complete copy to a new file. */
  backup: (target: string) => void;
  /** Checks the whole file; damage is in the answer, not thrown. */
  verify: () => Verification;
}

const demoBench = { make: makeDemoBench, has: isDemoBench };

/** See `openLibraryDays` in index.ts. */
export function openLibraryDays(location: string, { thread = false } = {}): LibraryDays {
  const now = (): string => new Date().toISOString();
  // Short enough to type; the library refuses one that is in use.
  const newId = (): string => randomUUID().slice(0, 8);
  const library = openLibrary(location, { now, newId });
  const store = libraryStore(library);
  const workbench = thread ? threadWorkbench() : directWorkbench();
  // A thread of its own, so that a reading typed at the bench does not wait behind a day.
  const maker = thread ? threadWorkbench() : workbench;
  const items = library.benchItems;
  const bench = benchOver({ items, maker, version: benchVersion, now, demo: demoBench });
  const threads = new SoundThreads({ concludeHere: !thread });
  const sounds = soundsOver({
    library,
    references: referencesIn(library, bench),
    threads,
    now,
    demo: {
      make: (own) => makeDemoSounds(own, bench, threads),
      has: isDemoSound,
    },
  });
  const close = async (): Promise<void> => {
    await Promise.all([workbench.close(), maker.close()]);
  };
  const days = daysOver({ store, workbench: { ...workbench, close }, now, demo: demoDay });
  return {
    days,
    bench,
    sounds,
    close: async () => {
      await sounds.close();
      await days.close();
    },
    keepSheet: (text, sheetFile, readFile) =>
      keepDaySheet({ store, workbench }, text, sheetFile, readFile),
    backup: (target) => library.backup(target),
    verify: () => {
      const found = library.verify();
      // Where the file itself is damaged its items may not be readable.
      return found.problems.length > 0 ? found : { ...found, problems: bench.verify() };
    },
  };
}
