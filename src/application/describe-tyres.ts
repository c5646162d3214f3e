/** Pressures in words and columns. */
import { describeProblem } from '../core/units/index.ts';
import type { AtPressure, TyresFinding, WheelTyre } from './contract.ts';
import { intervalDigits, plain, signed } from './digits.ts';
import { fold, textTable } from './text-table.ts';

type Interval = readonly [number, number];

const right = (title: string) => ({ title, align: 'right' as const });

/** One sentence: the two ranges. */
export function tyresHeadline(finding: TyresFinding): string {
  const one = ({ recommendedBar, recommendedPsi }: WheelTyre): string =>
    recommendedBar === null || recommendedPsi === null
      ? 'withheld'
      : `${rangeOf(recommendedBar, 1)} bar (${rangeOf(recommendedPsi, 0)} psi)`;
  return `Front ${one(finding.front)}, rear ${one(finding.rear)}.`;
}

/** The whole finding as text. */
export function describeTyres(finding: TyresFinding): string {
  const share = (100 * finding.frontShare).toFixed(0);
  const blocks = [
    finding.invented
      ? `${finding.title}\nINVENTED DATA; it says nothing about any real tyre.`
      : finding.title,
    fold(
      `${plain(finding.massKg, 1)} kg, ${share} % of it on the front wheel; surface ${finding.surface}, aim ${finding.aim}.`,
      '',
    ),
    wheel('Front', finding.front),
    wheel('Rear', finding.rear),
    notes('What a change does', finding.onChange),
    notes('Warnings', finding.warnings.map(describeProblem)),
    notes('Cautions', finding.cautions),
    fold(
      `Method ${finding.method}. Inputs (start of SHA-256): ${finding.inputs
        .map(({ file, sha256 }) => `${file} ${sha256.slice(0, 12)}`)
        .join(', ')}.`,
      '',
    ),
  ];
  return `${blocks.filter((block) => block !== '').join('\n\n')}\n`;
}

function wheel(name: string, found: WheelTyre): string {
  const load = plain(found.loadN, 0);
  const range =
    found.recommendedBar === null || found.recommendedPsi === null
      ? `No pressure is recommended. ${found.withheld ?? ''}`
      : `${rangeOf(found.recommendedBar, 1)} bar (${rangeOf(found.recommendedPsi, 0)} psi) for a drop of ${plain(found.dropBandPercent[0], 0)} to ${plain(found.dropBandPercent[1], 0)} % of the tyre’s ${plain(found.widthMm, 1)} mm. 95 % intervals: low end ${rangeOf(found.lowBarCi95!, 1)}, high end ${rangeOf(found.highBarCi95!, 1)} bar.`;
  const limit = `Hard limit ${downTo(found.hardLimitBar, 1)} bar (${downTo(found.hardLimitPsi, 1)} psi), the ${found.limitedBy}’s maximum${found.cutByLimit && found.withheld === null ? '; it cuts the range' : ''}. Known: ${found.limits.map(({ of, bar }) => `${of} ${downTo(bar, 1)} bar`).join(', ')}.`;
  const ratio =
    found.rimToTyrePercent === null
      ? ''
      : ` The rim is ${plain(found.rimToTyrePercent, 0)} % of the tyre’s width outside (105 % is aimed at where the rim is to be the wider; common practice, no source).`;
  const fit = `Tyre of ${plain(found.fit.designatedWidthMm, 0)} mm on ${plain(found.fit.rimInnerWidthMm, 1)} mm inside: ${found.fit.verdict}. ${found.fit.rules
    .map(
      ({ rule, source, takes }) =>
        `${takes === null ? 'Silent' : takes ? 'Yes' : 'No'}: ${rule} (${source}).`,
    )
    .join(' ')}${ratio}`;
  return [
    `${name} wheel, ${load} N on it (95 % ${rangeOf(found.loadNCi95, 0)})`,
    fold(range),
    fold(limit),
    ...(found.pressures.length > 0 ? [table(found.pressures)] : []),
    fold(fit),
  ].join('\n');
}

function table(rows: AtPressure[]): string {
  const band = (crr: Interval | null): string =>
    crr === null
      ? 'not known'
      : crr[0] === 0 && crr[1] === 0
        ? '0'
        : `${signed(crr[0], 1)} to ${signed(crr[1], 1)}`;
  return textTable(
    [
      { title: '' },
      right('bar'),
      right('psi'),
      right('drop mm'),
      right('95 %'),
      right('drop %'),
      right('stiffness N/mm'),
      right('95 %'),
      right('change %'),
      right('patch mm'),
      right('loads to rim'),
      right('Crr change %'),
    ],
    rows.map((row) => [
      row.at,
      downTo(row.bar, 1),
      downTo(row.psi, 0),
      plain(row.dropMm, intervalDigits(row.dropMmCi95)),
      rangeOf(row.dropMmCi95, intervalDigits(row.dropMmCi95)),
      plain(row.dropPercent, 0),
      plain(row.stiffnessNPerMm, 0),
      rangeOf(row.stiffnessNPerMmCi95, 0),
      signed(row.stiffnessChangePercent, 0),
      `${plain(row.patch.lengthMm, 0)} × ${plain(row.patch.widthMm, 0)}`,
      plain(row.loadsToRim, 1),
      band(row.crrChangePercent),
    ]),
  );
}

/** Rounded towards less, so that no printed pressure passes a limit that the number keeps. */
function downTo(value: number, decimals: number): string {
  const scale = 10 ** decimals;
  return (Math.floor(value * scale + 1e-6) / scale).toFixed(decimals);
}

const rangeOf = ([low, high]: Interval, decimals: number): string =>
  `${downTo(low, decimals)} to ${downTo(high, decimals)}`;

function notes(title: string, texts: string[]): string {
  return texts.length === 0 ? '' : `${title}\n${texts.map((text) => fold(text, '  ')).join('\n')}`;
}
