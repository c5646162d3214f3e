import { createContext } from 'preact';
import type { ComponentChildren } from 'preact';
import { useCallback, useContext, useMemo, useRef, useState } from 'preact/hooks';
import type { Problem } from '../../application/contract.ts';
import { problemText } from './problems.tsx';

interface Notice {
  id: number;
  text: string;
  serious: boolean;
  action?: { label: string; run: () => void };
}

interface Notices {
  list: Notice[];
  /** Said once by screen readers and shown for a while. */
  say: (text: string, action?: Notice['action']) => void;
  /** Stays until it is dismissed. */
  complain: (problems: readonly Problem[]) => void;
  dismiss: (id: number) => void;
}

const Context = createContext<Notices>({
  list: [],
  say: () => undefined,
  complain: () => undefined,
  dismiss: () => undefined,
});

export const useNotices = (): Notices => useContext(Context);

const shownForMs = 12_000;

export function NoticeProvider({ children }: { children: ComponentChildren }) {
  const [list, setList] = useState<Notice[]>([]);
  const next = useRef(1);
  const dismiss = useCallback(
    (id: number) => setList((now) => now.filter((notice) => notice.id !== id)),
    [],
  );
  const say = useCallback(
    (text: string, action?: Notice['action']) => {
      const id = next.current++;
      setList((now) => [...now.slice(-2), { id, text, serious: false, action }]);
      window.setTimeout(() => dismiss(id), shownForMs);
    },
    [dismiss],
  );
  const complain = useCallback((problems: readonly Problem[]) => {
    const text = problems.map(problemText).join(' ');
    setList((now) => [
      ...now.filter((notice) => notice.text !== text).slice(-2),
      { id: next.current++, text, serious: true },
    ]);
  }, []);
  const value = useMemo(() => ({ list, say, complain, dismiss }), [list, say, complain, dismiss]);
  return <Context.Provider value={value}>{children}</Context.Provider>;
}

/** Both areas are always in the page, so that screen readers hear what is put into them. */
export function NoticeArea() {
  const { list, dismiss } = useNotices();
  const show = (notice: Notice) => (
    <div class={`notice ${notice.serious ? 'notice-serious' : ''}`} key={notice.id}>
      <p>{notice.text}</p>
      {notice.action && (
        <button
          type="button"
          class="button"
          onClick={() => {
            dismiss(notice.id);
            notice.action?.run();
          }}
        >
          {notice.action.label}
        </button>
      )}
      <button type="button" class="button plain" onClick={() => dismiss(notice.id)}>
        Close
      </button>
    </div>
  );
  return (
    <aside class="notices" aria-label="Notices">
      <div role="status">{list.filter((notice) => !notice.serious).map(show)}</div>
      <div role="alert">{list.filter((notice) => notice.serious).map(show)}</div>
    </aside>
  );
}
