/**
 * Seconds from the start of a file, written as seconds or as `HH:MM:SS(.mmm)`; null when it is
 * neither.
 */
export function readClock(value: unknown): number | null {
  if (typeof value === 'number') return Number.isFinite(value) && value >= 0 ? value : null;
  if (typeof value !== 'string') return null;
  const parts = /^(\d{1,2}):([0-5]\d):([0-5]\d(?:\.\d{1,3})?)$/.exec(value);
  return parts ? Number(parts[1]) * 3600 + Number(parts[2]) * 60 + Number(parts[3]) : null;
}
