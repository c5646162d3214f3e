/** A finding in words and columns, for people to read and quote. */
import { describeProblem } from '../core/units/index.ts';
import type { Difference, FieldDragFinding, SetupResult } from './contract.ts';
import { intervalDigits, plain, signed } from './digits.ts';
import { fold, textTable } from './text-table.ts';

/** Setups from the lowest drag area up, as every listing ranks them. */
export function rankSetups(finding: FieldDragFinding): SetupResult[] {
  return [...finding.setups].sort((a, b) => a.cdaM2 - b.cdaM2);
}

/** One sentence: what the day says. */
export function headline(finding: FieldDragFinding): string {
  const control = nameOf(finding, finding.control);
  const separable = finding.differences.filter((one) => one.verdict !== 'not separable');
  if (separable.length === 0) {
    const smallest = Math.min(...finding.differences.map((one) => one.smallestVisibleM2));
    return `No setup is separable from ${control}; this day could have shown ${visible(finding, smallest)}.`;
  }
  const parts = separable
    .sort((a, b) => a.deltaCdaM2 - b.deltaCdaM2)
    .map((one) => {
      const digits = intervalDigits(one.ci95);
      return `${nameOf(finding, one.setup)} ${one.verdict} by ${plain(Math.abs(one.deltaCdaM2), digits)} m² (${range(absolute(one.ci95), digits, plain)})`;
    });
  const rest = finding.differences.length - separable.length;
  const others = rest === 0 ? '' : `; ${rest} not separable`;
  return `Against ${control}: ${parts.join(', ')}${others}.`;
}

/** The whole finding as text: ranking, differences, what was left out, warnings, cautions. */
export function describeFinding(
  finding: FieldDragFinding,
  options: { residuals?: boolean } = {},
): string {
  const blocks = [
    heading(finding),
    ranking(finding),
    differences(finding),
    leftOut(finding),
    options.residuals ? residuals(finding) : '',
    notes(
      'Warnings',
      finding.warnings.filter((one) => one.code !== 'lap-left-out').map(describeProblem),
    ),
    notes('Cautions', finding.cautions),
    foot(finding),
  ];
  return `${blocks.filter((block) => block !== '').join('\n\n')}\n`;
}

/** Machine form: the finding as it is. Rows of residuals, thousands of them, only when asked for. */
export function findingAsJson(
  finding: FieldDragFinding,
  options: { residuals?: boolean } = {},
): string {
  const { rows, ...checks } = finding.residuals;
  const residualPart = options.residuals ? { ...checks, rows } : checks;
  return `${JSON.stringify({ ...finding, residuals: residualPart }, null, 2)}\n`;
}

function heading(finding: FieldDragFinding): string {
  const title = `${finding.title}, ${finding.date}`;
  if (!finding.invented) return title;
  return `${title}\nINVENTED DATA from a generator; it says nothing about any real wheel.`;
}

function ranking(finding: FieldDragFinding): string {
  const rows = rankSetups(finding).map((setup, index) => {
    const digits = intervalDigits(setup.ci95);
    return [
      String(index + 1),
      setup.id === finding.control ? `${setup.name} (control)` : setup.name,
      plain(setup.cdaM2, digits),
      range(setup.ci95, digits, plain),
      String(setup.laps),
      String(setup.runs),
    ];
  });
  const columns = [
    { title: '#', align: 'right' as const },
    { title: 'setup' },
    { title: 'CdA m²', align: 'right' as const },
    { title: '95 % interval', align: 'right' as const },
    { title: 'laps', align: 'right' as const },
    { title: 'runs', align: 'right' as const },
  ];
  return `Drag area, lowest first\n${textTable(columns, rows)}`;
}

function differences(finding: FieldDragFinding): string {
  const { speedKmh, airDensityKgM3 } = finding.reference;
  const sorted = [...finding.differences].sort((a, b) => a.deltaCdaM2 - b.deltaCdaM2);
  const rows = sorted.map((one) => {
    const digits = intervalDigits(one.ci95);
    const wattDigits = intervalDigits(one.wattsCi95);
    return [
      nameOf(finding, one.setup),
      signed(one.deltaCdaM2, digits),
      range(one.ci95, digits, signed),
      signed(one.wattsAtReference, wattDigits),
      range(one.wattsCi95, wattDigits, signed),
      pValue(one.pAdjusted),
      verdict(finding, one),
    ];
  });
  const columns = [
    { title: 'setup' },
    { title: 'ΔCdA m²', align: 'right' as const },
    { title: '95 % interval', align: 'right' as const },
    { title: 'watts', align: 'right' as const },
    { title: '95 % interval', align: 'right' as const },
    { title: 'p', align: 'right' as const },
    { title: 'verdict' },
  ];
  const title = `Difference to ${nameOf(finding, finding.control)}; watts at ${speedKmh} km/h and ${airDensityKgM3} kg/m³`;
  return `${title}\n${textTable(columns, rows)}\n${fold(comparisonNote(sorted.length), '  ')}`;
}

function comparisonNote(comparisons: number): string {
  const alone = 'Each interval is for that difference alone.';
  if (comparisons < 2) return alone;
  return `${alone} p and the verdict allow for ${comparisons} comparisons with one control (Dunnett), so an interval may miss zero and the verdict still be "not separable".`;
}

function verdict(finding: FieldDragFinding, one: Difference): string {
  if (one.verdict !== 'not separable') return one.verdict;
  return `not separable; this day could have shown ${visible(finding, one.smallestVisibleM2)}`;
}

/** The smallest difference that the day would have shown, with its watts where they can be told. */
function visible(finding: FieldDragFinding, smallestM2: number): string {
  if (!Number.isFinite(smallestM2)) return 'no difference of any size';
  const area = `${smallestM2.toPrecision(2)} m²`;
  const scale = wattsPerM2(finding);
  return scale === null ? area : `${area} (${(smallestM2 * scale).toPrecision(2)} W)`;
}

function wattsPerM2(finding: FieldDragFinding): number | null {
  const one = finding.differences.find(({ ci95 }) => ci95[1] > ci95[0]);
  if (!one) return null;
  return (one.wattsCi95[1] - one.wattsCi95[0]) / (one.ci95[1] - one.ci95[0]);
}

function leftOut(finding: FieldDragFinding): string {
  const laps = finding.laps.filter((lap) => !lap.used || lap.overruled);
  const out = finding.laps.filter((lap) => !lap.used).length;
  if (laps.length === 0) return `Laps: all ${finding.laps.length} found were used.`;
  const lines = laps.map((lap) => {
    const state = lap.used ? 'used by your word' : lap.overruled ? 'out by your word' : 'out';
    const reason = lap.reason ? `: ${lap.reason}` : '';
    return fold(
      `run ${lap.run}, lap ${lap.lap} (${nameOf(finding, lap.setup)}) ${state}${reason}`,
      '  ',
    );
  });
  return `Laps: ${out} of ${finding.laps.length} found were left out\n${lines.join('\n')}`;
}

function residuals(finding: FieldDragFinding): string {
  const rows = finding.residuals.checks.map((check) => [
    check.passed ? 'passed' : 'not passed',
    check.name,
    check.statistic.toPrecision(3),
    pValue(check.pValue),
    check.meaning,
  ]);
  const columns = [
    { title: 'check' },
    { title: 'of' },
    { title: 'statistic', align: 'right' as const },
    { title: 'p', align: 'right' as const },
    { title: 'meaning' },
  ];
  const sources = finding.budget.map((line) => [
    line.source,
    line.ofDifferenceM2.toPrecision(2),
    line.ofAbsoluteM2.toPrecision(2),
  ]);
  const budget = textTable(
    [
      { title: 'source of uncertainty' },
      { title: 'of a difference, m²', align: 'right' },
      { title: 'of CdA itself, m²', align: 'right' },
    ],
    sources,
  );
  return `Residual checks\n${textTable(columns, rows)}\n\nStandard uncertainties\n${budget}`;
}

function notes(title: string, texts: string[]): string {
  return texts.length === 0 ? '' : `${title}\n${texts.map((text) => fold(text, '  ')).join('\n')}`;
}

function foot(finding: FieldDragFinding): string {
  const files = finding.inputs.map((input) => `${input.file} ${input.sha256.slice(0, 12)}`);
  return fold(`Method ${finding.method}. Inputs (start of SHA-256): ${files.join(', ')}.`, '');
}

function nameOf(finding: FieldDragFinding, id: string): string {
  return finding.setups.find((setup) => setup.id === id)?.name ?? id;
}

function pValue(p: number): string {
  if (!Number.isFinite(p)) return '-';
  return p < 0.001 ? '<0.001' : p.toFixed(3);
}

function absolute([low, high]: [number, number]): [number, number] {
  return high < 0 ? [-high, -low] : [low, high];
}

function range(
  [low, high]: [number, number],
  digits: number,
  format: (value: number, digits: number) => string,
): string {
  return `${format(low, digits)} to ${format(high, digits)}`;
}
