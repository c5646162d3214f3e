import { useEffect, useState } from 'preact/hooks';

/** The four views of a day. On a wide screen the finding stays beside the other three. */
export type DayPart = 'finding' | 'runs' | 'setups' | 'checks';
export const dayParts: readonly DayPart[] = ['finding', 'runs', 'setups', 'checks'];

export type Route =
  | { name: 'days' }
  | { name: 'day'; id: string; part: DayPart }
  | { name: 'bench' }
  | { name: 'bench-item'; id: string };

export function readRoute(hash: string): Route {
  const [, kind, id, part] = hash.replace(/^#/, '').split('/');
  if (kind === 'bench')
    return id ? { name: 'bench-item', id: decodeURIComponent(id) } : { name: 'bench' };
  if (kind !== 'day' || !id) return { name: 'days' };
  const known = dayParts.find((name) => name === part) ?? 'finding';
  return { name: 'day', id: decodeURIComponent(id), part: known };
}

export const dayHref = (id: string, part: DayPart = 'finding'): string =>
  `#/day/${encodeURIComponent(id)}${part === 'finding' ? '' : `/${part}`}`;

export const benchHref = (id?: string): string =>
  id === undefined ? '#/bench' : `#/bench/${encodeURIComponent(id)}`;

export function useRoute(): Route {
  const [hash, setHash] = useState(window.location.hash);
  useEffect(() => {
    const update = () => setHash(window.location.hash);
    window.addEventListener('hashchange', update);
    return () => window.removeEventListener('hashchange', update);
  }, []);
  return readRoute(hash);
}
