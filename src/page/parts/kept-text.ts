import { useCallback, useState } from 'preact/hooks';

const prefix = 'lapbench:text:';

/** What is kept under a name, or null. Storage may be shut off; then typing still works, unkept. */
export function keptText(name: string): string | null {
  try {
    return window.localStorage.getItem(prefix + name);
  } catch {
    return null;
  }
}

export function keepText(name: string, text: string | null): void {
  try {
    if (text === null) window.localStorage.removeItem(prefix + name);
    else window.localStorage.setItem(prefix + name, text);
  } catch {
    // Storage full or shut off: the text lives as long as the page does.
  }
}

/**
 * Text that a person is still typing: survives a reload until `clear` is called after saving.
 * `dirty` is true while it differs from what is saved.
 */
export function useKeptText(name: string, saved: string) {
  const [typed, setTyped] = useState<string | null>(() => keptText(name));
  const set = useCallback(
    (text: string) => {
      keepText(name, text);
      setTyped(text);
    },
    [name],
  );
  const clear = useCallback(() => {
    keepText(name, null);
    setTyped(null);
  }, [name]);
  return { text: typed ?? saved, set, clear, dirty: typed !== null && typed !== saved };
}
