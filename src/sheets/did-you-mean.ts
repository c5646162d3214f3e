/**
 * The known word nearest to what was written, or null when none is near: at most a third of its
 * letters (and at least one) added, left out, changed or swapped with a neighbour, case ignored.
 * (Optimal string alignment distance.)
 */
export function didYouMean(written: string, known: Iterable<string>): string | null {
  const word = written.toLowerCase();
  if (word.length > 60) return null;
  let best: string | null = null;
  let bestDistance = Infinity;
  for (const candidate of known) {
    const other = candidate.toLowerCase();
    const allowed = Math.max(1, Math.floor(Math.max(word.length, other.length) / 3));
    const begins = word.length >= 3 && other.startsWith(word);
    const distance = begins ? 1 : alignmentDistance(word, other);
    if (distance <= allowed && distance < bestDistance) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}

function alignmentDistance(a: string, b: string): number {
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const changed = last[j - 1] + (a[i - 1] === b[j - 1] ? 0 : 1);
      row[j] = Math.min(changed, last[j] + 1, row[j - 1] + 1);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        row[j] = Math.min(row[j], beforeLast[j - 2] + 1);
      }
    }
    beforeLast = last;
    last = row;
  }
  return last[b.length];
}
