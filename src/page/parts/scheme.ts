/** Light or dark, and the colours of the style sheet, for what is drawn on a canvas. */
import { useEffect, useState } from 'preact/hooks';

/** Value of a custom property of the page, such as `--ink`. */
export function colour(name: string): string {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

/** Whether the page is dark; changes with the system, so that a canvas is drawn again. */
export function useScheme(): boolean {
  const query = '(prefers-color-scheme: dark)';
  const [dark, setDark] = useState(() => window.matchMedia(query).matches);
  useEffect(() => {
    const media = window.matchMedia(query);
    const update = () => setDark(media.matches);
    media.addEventListener('change', update);
    return () => media.removeEventListener('change', update);
  }, []);
  return dark;
}
