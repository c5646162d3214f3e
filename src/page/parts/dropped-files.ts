import { useEffect, useRef, useState } from 'preact/hooks';

/** Calls `take` with files that are dropped anywhere on the page; answers whether some hang above it. */
export function useDroppedFiles(take: (files: File[]) => void): boolean {
  const [over, setOver] = useState(false);
  const takeRef = useRef(take);
  takeRef.current = take;
  useEffect(() => {
    const hasFiles = (event: DragEvent) => event.dataTransfer?.types.includes('Files') ?? false;
    const enter = (event: DragEvent) => {
      if (!hasFiles(event)) return;
      event.preventDefault();
      setOver(true);
    };
    const leave = (event: DragEvent) => {
      if (event.relatedTarget === null) setOver(false);
    };
    const drop = (event: DragEvent) => {
      if (!hasFiles(event)) return;
      event.preventDefault();
      setOver(false);
      takeRef.current([...(event.dataTransfer?.files ?? [])]);
    };
    window.addEventListener('dragover', enter);
    window.addEventListener('dragleave', leave);
    window.addEventListener('drop', drop);
    return () => {
      window.removeEventListener('dragover', enter);
      window.removeEventListener('dragleave', leave);
      window.removeEventListener('drop', drop);
    };
  }, []);
  return over;
}
