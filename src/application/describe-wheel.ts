/** A wheel in words and columns. */
import { describeProblem } from '../core/units/index.ts';
import type { WheelComparison, WheelFinding, WheelSpoke } from './contract.ts';
import { influenceInWords, underLoadInWords } from './describe-wheel-load.ts';
import { fold, textTable } from './text-table.ts';
import { digits, right, signed } from './wheel-numbers.ts';

/** One sentence: what the sheet comes to. */
export function wheelHeadline(finding: WheelFinding): string {
  const { lateralNPerMm, radialNPerMm, torsionalNmPerDeg } = finding;
  return `Lateral ${digits(lateralNPerMm)} N/mm, radial ${digits(radialNPerMm)} N/mm, torsional ${digits(torsionalNmPerDeg)} N m/°.`;
}

/** The whole finding as text. */
export function describeWheel(finding: WheelFinding): string {
  const blocks = [
    finding.invented
      ? `${finding.name}\nINVENTED DATA; it says nothing about any real wheel.`
      : finding.name,
    stiffnesses(finding),
    margins(finding),
    spokes(finding),
    finding.underLoad ? underLoadInWords(finding, finding.underLoad) : '',
    finding.influence ? influenceInWords(finding, finding.influence) : '',
    finding.comparison ? comparison(finding.comparison) : '',
    fit(finding),
    notes('Warnings', finding.warnings.map(describeProblem)),
    notes('Cautions', finding.cautions),
    foot(finding),
  ];
  return `${blocks.filter((block) => block !== '').join('\n\n')}\n`;
}

function stiffnesses(finding: WheelFinding): string {
  const rows = [
    [
      'lateral, N/mm',
      digits(finding.lateralNPerMm),
      digits(finding.lateralAtSpokeNPerMm),
      digits(finding.lateralMidwayNPerMm),
      digits(finding.lateralUntensionedNPerMm),
    ],
    [
      'radial, N/mm',
      digits(finding.radialNPerMm),
      digits(finding.radialAtSpokeNPerMm),
      digits(finding.radialMidwayNPerMm),
      digits(finding.radialUntensionedNPerMm),
    ],
    [
      'torsional, N m/°',
      digits(finding.torsionalNmPerDeg),
      '',
      '',
      digits(finding.torsionalUntensionedNmPerDeg),
    ],
  ];
  const columns = [
    { title: 'stiffness' },
    right('mean'),
    right('at a spoke'),
    right('midway'),
    right('mean, without pretension'),
  ];
  const bearings = finding.onBearings
    ? `\n${fold(`With the springs of the bearings: lateral ${digits(finding.onBearings.lateralNPerMm)}, radial ${digits(finding.onBearings.radialNPerMm)} N/mm, torsional ${digits(finding.onBearings.torsionalNmPerDeg)} N m/°.`)}`
    : '';
  return `Computed from the sheet, hub held\n${textTable(columns, rows)}${bearings}`;
}

function margins(finding: WheelFinding): string {
  const rounded = (value: number): string => String(Number(value.toPrecision(3)));
  const lines = [
    `The rim is pressed together by ${rounded(finding.rimCompressionN)} N at rest.`,
    finding.firstSlackSideLoadN === null
      ? ''
      : `The first spoke goes slack under ${rounded(finding.firstSlackSideLoadN)} N sideways at the rim.`,
    finding.collapseTensionN === null
      ? ''
      : `The rim would fold sideways at a mean tension of ${rounded(finding.collapseTensionN)} N on the tighter side: a margin, never a target.`,
  ];
  return fold(lines.filter((line) => line !== '').join(' '), '');
}

function spokes(finding: WheelFinding): string {
  // Spokes alike but for their number stand in one row.
  const groups = new Map<string, { one: WheelSpoke; numbers: number[] }>();
  for (const one of finding.spokes) {
    const key = JSON.stringify([
      one.side,
      one.role,
      digits(one.tensionN),
      signed(one.deltaTensionPerNm, 3),
    ]);
    const group = groups.get(key);
    if (group) group.numbers.push(one.spoke);
    else groups.set(key, { one, numbers: [one.spoke] });
  }
  const rows = [...groups.values()].map(({ one, numbers }) => [
    one.side,
    one.role,
    listed(numbers),
    (1000 * one.lengthM).toFixed(1),
    one.bracingAngleDeg.toFixed(2),
    one.tensionN.toFixed(0),
    signed(one.deltaTensionPerNm, 3),
    one.underBraking === 'unchanged' ? 'unchanged' : `${one.underBraking} tension`,
  ]);
  const columns = [
    { title: 'side' },
    { title: 'role' },
    { title: 'spokes' },
    right('length mm'),
    right('bracing °'),
    right('tension N'),
    right('N per N m of braking'),
    { title: 'under braking' },
  ];
  const note =
    'Role is geometry: a trailing spoke’s rim end lies behind its flange hole in the direction of rotation. Workshops use the two words both ways; the last column comes from the mechanics. Drive is the other way round.';
  return `Spokes\n${textTable(columns, rows)}\n${fold(note)}`;
}

/** `1, 4, 7 … 22`. */
function listed(numbers: number[]): string {
  if (numbers.length <= 4) return numbers.join(', ');
  return `${numbers.slice(0, 3).join(', ')} … ${numbers[numbers.length - 1]}`;
}

function comparison(compared: WheelComparison): string {
  const share = (percent: number | null): string =>
    percent === null ? '-' : `${signed(percent, 0)} %`;
  const rows = compared.terms.map((one) => [
    one.term,
    one.change,
    signed(one.lateralNPerMm, 2),
    share(one.sharePercent),
    signed(one.radialNPerMm, 0),
  ]);
  const columns = [
    { title: 'what differs' },
    { title: 'from → to' },
    right('lateral N/mm'),
    right('share'),
    right('radial N/mm'),
  ];
  const whole = `Against it, ${compared.other} has ${digits(compared.stiffnesses.lateralNPerMm)} N/mm lateral (${signed(compared.lateralDifferenceNPerMm, 2)}) and ${digits(compared.stiffnesses.radialNPerMm)} N/mm radial (${signed(compared.radialDifferenceNPerMm, 0)}). Each row: what changing that alone does, averaged over all orders of changing them; the rows add up to the whole.`;
  return `Compared with ${compared.other}\n${fold(whole)}\n${rows.length === 0 ? '  The two wheels do not differ.' : textTable(columns, rows)}`;
}

function fit({ fit: fitted, comparison: compared }: WheelFinding): string {
  if (fitted === null) return '';
  const lines = [
    `A bench stiffness of ${fitted.benchLateralNPerMm} N/mm${within(fitted.benchLateralCi95)} is met with the rim’s lateral bending and torsion times ${fitted.rimFactor.toPrecision(3)}${within(fitted.rimFactorCi95)}; iLateralM4 ${fitted.iLateralM4.toPrecision(3)}, torsionM4 ${fitted.torsionM4.toPrecision(3)}.`,
    fitted.predictedOtherNPerMm === null || compared === null
      ? ''
      : `With its rim times the same factor, ${compared.other} is predicted at ${digits(fitted.predictedOtherNPerMm)} N/mm${within(fitted.predictedOtherCi95)}.`,
    fitted.predictedOtherCi95 === null
      ? ''
      : 'The interval is the bench’s own, carried through; what the two sheets say is taken as exact.',
  ];
  return `Rim fitted to the bench\n${lines
    .filter((line) => line !== '')
    .map((line) => fold(line))
    .join('\n')}`;
}

/** ` (95 % 72.1 to 76.9)`; an end that nothing reaches is left open. */
function within(interval: readonly [number | null, number | null] | null): string {
  if (interval === null) return '';
  const [low, high] = interval.map((end) => (end === null ? 'no bound' : digits(end)));
  return ` (95 % ${low} to ${high})`;
}

function notes(title: string, texts: string[]): string {
  return texts.length === 0 ? '' : `${title}\n${texts.map((text) => fold(text, '  ')).join('\n')}`;
}

function foot({ method, inputs }: WheelFinding): string {
  const files = inputs.map(({ file, sha256 }) => `${file} ${sha256.slice(0, 12)}`);
  return fold(`Method ${method}. Inputs (start of SHA-256): ${files.join(', ')}.`, '');
}
