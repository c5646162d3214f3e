/** Stiffness from the bench in words and columns. */
import { describeProblem } from '../core/units/index.ts';
import type { StiffnessFinding } from './contract.ts';
import { intervalDigits, plain } from './digits.ts';
import { fold, textTable } from './text-table.ts';

/** One sentence: what the bench says. */
export function stiffnessHeadline(finding: StiffnessFinding): string {
  const stiffness = withInterval(finding.lateralNPerMm, finding.ci95);
  const slop =
    finding.slopMm === null || finding.slopCi95 === null
      ? 'slop not seen'
      : `slop ${withInterval(finding.slopMm, finding.slopCi95)} mm`;
  return `Lateral stiffness ${stiffness} N/mm, ${slop}.`;
}

/** The whole finding as text. */
export function describeStiffness(finding: StiffnessFinding): string {
  const { preloadN, loadN } = finding;
  const end = Number((preloadN + loadN).toPrecision(6));
  const blocks = [
    `Lateral stiffness on the bench, from ${preloadN} N to ${end} N\n${summary(finding)}\n${fold(basis(finding))}`,
    mountings(finding),
    notes('Warnings', finding.warnings.map(describeProblem)),
    notes('Cautions', finding.cautions),
    foot(finding),
  ];
  return `${blocks.filter((block) => block !== '').join('\n\n')}\n`;
}

function summary(finding: StiffnessFinding): string {
  const row = (name: string, value: number | null, ci: [number, number] | null, unit: string) => {
    if (value === null) return [name, 'not known', '', unit];
    if (ci === null) return [name, 'not sure', '', unit];
    const digits = intervalDigits(ci);
    return [name, plain(value, digits), range(ci, digits), unit];
  };
  const hysteresis = finding.hysteresisPercent;
  const columns = [
    { title: '' },
    { title: 'value', align: 'right' as const },
    { title: '95 % interval', align: 'right' as const },
    { title: 'unit' },
  ];
  return textTable(columns, [
    row('stiffness', finding.lateralNPerMm, finding.ci95, 'N/mm'),
    row('slop', finding.slopMm, finding.slopCi95, 'mm'),
    row('zero shift', finding.zeroShiftMm, finding.zeroShiftCi95, 'mm'),
    [
      'hysteresis',
      hysteresis === null ? 'not known' : plain(hysteresis, Math.abs(hysteresis) < 10 ? 1 : 0),
      '',
      '% of the deflection in the range',
    ],
  ]);
}

function basis({ intervalFrom, remounts, readings, degreesOfFreedom }: StiffnessFinding): string {
  const many = (count: number, one: string): string => `${count} ${one}${count === 1 ? '' : 's'}`;
  const rest = `${many(remounts, 'mounting')}, ${many(readings, 'reading')}, ${many(degreesOfFreedom, 'degree')} of freedom`;
  return intervalFrom === 'remounts'
    ? `The interval holds the scatter over mountings: ${rest}.`
    : `The interval holds the scatter of the readings of one mounting only: ${rest}.`;
}

function mountings(finding: StiffnessFinding): string {
  // One series' own readings say less than the interval over all: the same places, and no more.
  const digits = intervalDigits(finding.ci95);
  const slopDigits = finding.slopCi95 ? intervalDigits(finding.slopCi95) : 2;
  const rows = finding.series.map((one) => [
    one.cycle > 1 ? `${one.remount} (loading ${one.cycle})` : one.remount,
    one.positionDeg === null ? '-' : String(one.positionDeg),
    one.lateralNPerMm === null ? '-' : plain(one.lateralNPerMm, digits),
    one.slopMm === null ? '-' : plain(one.slopMm, slopDigits),
    one.hysteresisPercent === null ? '-' : plain(one.hysteresisPercent, 0),
    String(one.readings.length),
    one.used ? '' : 'left out',
  ]);
  const right = (title: string) => ({ title, align: 'right' as const });
  const columns = [
    { title: 'mounting' },
    right('at °'),
    right('N/mm'),
    right('slop mm'),
    right('hysteresis %'),
    right('readings'),
    { title: '' },
  ];
  return `Mountings\n${textTable(columns, rows)}`;
}

function withInterval(value: number, ci: [number, number]): string {
  const digits = intervalDigits(ci);
  return `${plain(value, digits)} (${range(ci, digits)})`;
}

function range([low, high]: [number, number], digits: number): string {
  return `${plain(low, digits)} to ${plain(high, digits)}`;
}

function notes(title: string, texts: string[]): string {
  return texts.length === 0 ? '' : `${title}\n${texts.map((text) => fold(text, '  ')).join('\n')}`;
}

function foot({ method, inputs }: StiffnessFinding): string {
  const files = inputs.map(({ file, sha256 }) => `${file} ${sha256.slice(0, 12)}`);
  return fold(`Method ${method}. Inputs (start of SHA-256): ${files.join(', ')}.`, '');
}
