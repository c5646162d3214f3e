/** Bringing a file in so that a lost connection, a closed page or a second thought cost little. */
import type { SoundUpload } from '../../application/contract.ts';
import { RefusedError, sendSound } from '../api.ts';
import { keepText, keptText } from '../parts/kept-text.ts';

/** The same file chosen again, also after a reload, goes on where it was left. */
const nameOf = (file: File): string => `upload:${file.name}:${file.size}:${file.lastModified}`;

/** The upload that a file was left at, in this browser; null: none. */
export const leftAt = (file: File): string | null => keptText(nameOf(file));

export async function bringFile(
  file: File,
  onProgress: (share: number) => void,
  signal: AbortSignal,
): Promise<SoundUpload> {
  const name = nameOf(file);
  const send = (from?: string) =>
    sendSound(file, file.name, onProgress, signal, {
      from,
      onBegun: ({ upload }) => keepText(name, upload),
    });
  try {
    return await send(keptText(name) ?? undefined);
  } catch (error) {
    if (signal.aborted) keepText(name, null);
    const forgotten = error instanceof RefusedError && error.status === 404;
    if (!forgotten) throw error;
    keepText(name, null);
    return send();
  }
}

/** To be called once a sound is made of it. */
export const broughtIn = (file: File): void => keepText(nameOf(file), null);
