import { useEffect, useState } from 'preact/hooks';

/** The four views of a day. On a wide screen the finding stays beside the other three. */
export type DayPart = 'finding' | 'runs' | 'setups' | 'checks';
export const dayParts: readonly DayPart[] = ['finding', 'runs', 'setups', 'checks'];

export type Route =
  | { name: 'days' }
  | { name: 'day'; id: string; part: DayPart }
  | { name: 'bench' }
  | { name: 'bench-item'; id: string }
  | { name: 'listen' }
  | { name: 'sound'; id: string }
  /** A session of plucks; `noise` is the sound that it will belong to, when it was begun from one. */
  | { name: 'pluck-session'; noise: string | null };

export function readRoute(hash: string): Route {
  const [, kind, id, part] = hash.replace(/^#/, '').split('/');
  if (kind === 'bench')
    return id ? { name: 'bench-item', id: decodeURIComponent(id) } : { name: 'bench' };
  if (kind === 'listen')
    return id ? { name: 'sound', id: decodeURIComponent(id) } : { name: 'listen' };
  if (kind === 'plucks')
    return { name: 'pluck-session', noise: id ? decodeURIComponent(id) : null };
  if (kind !== 'day' || !id) return { name: 'days' };
  const known = dayParts.find((name) => name === part) ?? 'finding';
  return { name: 'day', id: decodeURIComponent(id), part: known };
}

export const dayHref = (id: string, part: DayPart = 'finding'): string =>
  `#/day/${encodeURIComponent(id)}${part === 'finding' ? '' : `/${part}`}`;

export const benchHref = (id?: string): string =>
  id === undefined ? '#/bench' : `#/bench/${encodeURIComponent(id)}`;

export const listenHref = (id?: string): string =>
  id === undefined ? '#/listen' : `#/listen/${encodeURIComponent(id)}`;

/** Where spokes are plucked one after the other; their sound then belongs to `noise`. */
export const pluckHref = (noise?: string): string =>
  noise === undefined ? '#/plucks' : `#/plucks/${encodeURIComponent(noise)}`;

export function useRoute(): Route {
  const [hash, setHash] = useState(window.location.hash);
  useEffect(() => {
    const update = () => setHash(window.location.hash);
    window.addEventListener('hashchange', update);
    return () => window.removeEventListener('hashchange', update);
  }, []);
  return readRoute(hash);
}
