import {
  decimalsBeside,
  decimalsFor,
  fixed,
  halfWidth,
  range,
  signed,
  thin,
  wattsPerM2,
} from '../../figures/index.ts';
import type { Difference, FieldDragFinding, SetupResult } from '../../application/contract.ts';

/** Name of a setup for people. */
export function setupName(finding: FieldDragFinding, id: string): string {
  return finding.setups.find((setup) => setup.id === id)?.name ?? id;
}

/** `−4.3 ± 1.7` with the digits its interval bears. */
export function withHalf(value: number, ends: [number, number], sign = true): string {
  const half = halfWidth(ends);
  const decimals = decimalsBeside(value, half);
  return `${(sign ? signed : fixed)(value, decimals)} ± ${fixed(half, decimals)}`;
}

/** `0.225 ± 0.012 m²`: the field drag of one setup. */
export const dragWords = ({ cdaM2, ci95 }: SetupResult): string =>
  `${withHalf(cdaM2, ci95, false)}${thin}m²`;

/** Differences, lowest drag first. */
export const ranked = (finding: FieldDragFinding): Difference[] =>
  [...finding.differences].sort((a, b) => a.deltaCdaM2 - b.deltaCdaM2);

/** The smallest difference the day could have shown, the largest of those given, with its watts where one scale holds for all. */
export function smallestVisible(
  finding: FieldDragFinding,
  differences: readonly Difference[] = finding.differences,
): string | null {
  const sizes = differences.map((d) => d.smallestVisibleM2).filter((m2) => m2 > 0);
  if (sizes.length === 0) return null;
  const worst = Math.max(...sizes);
  const rows = finding.differences.map((d) => ({ ...d, name: d.setup }));
  const scale = wattsPerM2(rows);
  const watts =
    scale === null
      ? ''
      : ` (${fixed(worst * scale, 1)}${thin}W at ${finding.reference.speedKmh}${thin}km/h)`;
  return `${fixed(worst, Math.min(4, decimalsFor(worst)))}${thin}m²${watts}`;
}

/** The finding in one plain paragraph: what a tester may read out. */
export function findingSentences(finding: FieldDragFinding): string[] {
  const control = setupName(finding, finding.control);
  const speed = `${finding.reference.speedKmh}${thin}km/h`;
  const told = ranked(finding)
    .filter((d) => d.verdict !== 'not separable')
    .map((d) => {
      const size = Math.abs(d.wattsAtReference);
      const ends: [number, number] =
        d.wattsAtReference < 0 ? [-d.wattsCi95[1], -d.wattsCi95[0]] : d.wattsCi95;
      const decimals = decimalsFor(halfWidth(ends));
      const word = d.verdict === 'lower' ? 'less' : 'more';
      return (
        `${setupName(finding, d.setup)} has ${word} drag than ${control}: ` +
        `${fixed(size, decimals)}${thin}W ${word} at ${speed} (95${thin}% interval ${range(ends)}${thin}W).`
      );
    });
  const open = finding.differences.filter((d) => d.verdict === 'not separable');
  if (open.length > 0) {
    const names = joinWords(open.map((d) => setupName(finding, d.setup)));
    const visible = smallestVisible(finding, open);
    told.push(
      `${names} ${open.length > 1 ? 'are' : 'is'} not separable from ${control}` +
        (visible ? `: this day could have shown a difference of ${visible} or more.` : '.'),
    );
  }
  return told;
}

export function joinWords(words: readonly string[]): string {
  if (words.length < 2) return words.join('');
  return `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;
}

/** Sentences, table and cautions as plain text: to paste into a message or a script. */
export function findingText(finding: FieldDragFinding): string {
  const lines = ranked(finding).map(
    (d) =>
      `${setupName(finding, d.setup)}: ${withHalf(d.deltaCdaM2, d.ci95)} m², ` +
      `${withHalf(d.wattsAtReference, d.wattsCi95)} W, ${d.verdict} (${d.laps} laps in ${d.runs} runs)`,
  );
  const control = finding.setups.find((setup) => setup.id === finding.control);
  return [
    `${finding.title}, ${finding.date}${finding.invented ? ' (invented data)' : ''}`,
    ...findingSentences(finding),
    '',
    `Difference of CdA to ${setupName(finding, finding.control)}, with half the 95 % interval:`,
    ...lines,
    ...(control
      ? [`${control.name} itself: CdA ${withHalf(control.cdaM2, control.ci95, false)} m²`]
      : []),
    `Watts at ${finding.reference.speedKmh} km/h and ${finding.reference.airDensityKgM3} kg/m³. Method ${finding.method}.`,
    '',
    ...finding.cautions,
    '',
  ]
    .join('\n')
    .replaceAll(thin, ' ');
}
