/**
 * Recorded pieces until the server has them: in the browser's own database, so that a crash or a reload loses at
 * most the piece being recorded.
 */

export interface KeptRecording<Data = unknown> {
  id: string;
  purpose: 'noise' | 'plucks';
  /** Milliseconds since 1970. */
  startedAt: number;
  sampleRateHz: number;
  /** What belongs to it: title, plan of spokes … */
  data: Data;
}

const databaseName = 'lapbench-sounds';

/** Where the database is shut off, pieces live as long as the page does. */
const memory = new Map<string, { recording: KeptRecording; pieces: Map<number, Blob> }>();
let opened: Promise<IDBDatabase | null> | null = null;

const settled = <T>(request: IDBRequest<T>): Promise<T> =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error ?? new Error('The browser’s store failed.'));
  });

function database(): Promise<IDBDatabase | null> {
  opened ??= (async () => {
    try {
      const request = window.indexedDB.open(databaseName, 1);
      request.onupgradeneeded = () => {
        request.result.createObjectStore('recordings', { keyPath: 'id' });
        request.result.createObjectStore('pieces');
      };
      return await settled(request);
    } catch {
      return null;
    }
  })();
  return opened;
}

/** Whether what is put here outlives the page. */
export const keepsRecordings = async (): Promise<boolean> => (await database()) !== null;

/** Every piece of a recording has the key [recording, number]. */
const piecesOf = (id: string): IDBKeyRange => IDBKeyRange.bound([id, 0], [id, Infinity]);

/** Done when the database says that it is on the disk. */
async function inOne(
  db: IDBDatabase,
  mode: IDBTransactionMode,
  work: (store: (name: 'recordings' | 'pieces') => IDBObjectStore) => void,
): Promise<void> {
  const transaction = db.transaction(['recordings', 'pieces'], mode, { durability: 'strict' });
  work((name) => transaction.objectStore(name));
  await new Promise<void>((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () =>
      reject(transaction.error ?? new Error('The browser is out of room.'));
  });
}

export async function putRecording(recording: KeptRecording): Promise<void> {
  const db = await database();
  if (db) return inOne(db, 'readwrite', (store) => store('recordings').put(recording));
  const pieces = memory.get(recording.id)?.pieces ?? new Map<number, Blob>();
  memory.set(recording.id, { recording, pieces });
}

/** Piece and recording together: neither is ever there without the other. */
export async function addPiece(
  recording: KeptRecording,
  number: number,
  piece: Blob,
): Promise<void> {
  const db = await database();
  if (!db) {
    await putRecording(recording);
    memory.get(recording.id)!.pieces.set(number, piece);
    return;
  }
  await inOne(db, 'readwrite', (store) => {
    store('pieces').put(piece, [recording.id, number]);
    store('recordings').put(recording);
  });
}

/** Newest first. */
export async function keptRecordings<Data>(
  purpose: KeptRecording['purpose'],
): Promise<KeptRecording<Data>[]> {
  const db = await database();
  const all = db
    ? ((await settled(
        db.transaction('recordings').objectStore('recordings').getAll(),
      )) as KeptRecording<Data>[])
    : ([...memory.values()].map(({ recording }) => recording) as KeptRecording<Data>[]);
  return all.filter((one) => one.purpose === purpose).sort((a, b) => b.startedAt - a.startedAt);
}

/** By number, in order. */
export async function keptPieces(id: string): Promise<{ number: number; piece: Blob }[]> {
  const db = await database();
  if (!db) {
    const pieces = memory.get(id)?.pieces ?? new Map<number, Blob>();
    return [...pieces].map(([number, piece]) => ({ number, piece }));
  }
  const store = db.transaction('pieces').objectStore('pieces');
  const [keys, pieces] = await Promise.all([
    settled(store.getAllKeys(piecesOf(id))),
    settled(store.getAll(piecesOf(id))) as Promise<Blob[]>,
  ]);
  return keys.map((key, i) => ({ number: (key as [string, number])[1], piece: pieces[i] }));
}

export async function dropRecording(id: string): Promise<void> {
  memory.delete(id);
  const db = await database();
  if (!db) return;
  await inOne(db, 'readwrite', (store) => {
    store('pieces').delete(piecesOf(id));
    store('recordings').delete(id);
  });
}
