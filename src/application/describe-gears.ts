/** Gears in words and columns. */
import { describeProblem } from '../core/units/index.ts';
import type { ClimbRow, GearsFinding } from './contract.ts';
import { intervalDigits, plain, signed } from './digits.ts';
import { fold, textTable } from './text-table.ts';

type Interval = readonly [number, number];

const right = (title: string) => ({ title, align: 'right' as const });

/** One sentence: the ends of the range. */
export function gearsHeadline({ gears, rangePercent }: GearsFinding): string {
  const name = ({ chainring, sprocket }: GearsFinding['gears'][number]): string =>
    `${chainring} by ${sprocket}`;
  return `From ${name(gears[0])} to ${name(gears[gears.length - 1])}: ${plain(rangePercent, 0)} % of range.`;
}

/** The whole finding as text. */
export function describeGears(finding: GearsFinding): string {
  const blocks = [
    finding.invented
      ? `${finding.title}\nINVENTED DATA; it says nothing about any real rider.`
      : finding.title,
    gears(finding),
    rings(finding),
    climbs(finding),
    notes('Warnings', finding.warnings.map(describeProblem)),
    notes('Cautions', finding.cautions),
    fold(
      `Method ${finding.method}.${
        finding.inputs.length === 0
          ? ''
          : ` Inputs (start of SHA-256): ${finding.inputs
              .map(({ file, sha256 }) => `${file} ${sha256.slice(0, 12)}`)
              .join(', ')}.`
      }`,
      '',
    ),
  ];
  return `${blocks.filter((block) => block !== '').join('\n\n')}\n`;
}

function gears(finding: GearsFinding): string {
  // The ratio is exact; speed and development carry the circumference's own uncertainty.
  const share = finding.circumferenceCi95Percent / 100;
  const digits = (value: number): number =>
    Math.min(3, intervalDigits([value * (1 - share), value * (1 + share)]));
  const rows = finding.gears.map((gear) => [
    `${gear.chainring} by ${gear.sprocket}`,
    `${gear.ratio.numerator}/${gear.ratio.denominator}`,
    gear.ratio.value.toFixed(3),
    plain(gear.developmentM, digits(gear.developmentM)),
    plain(gear.speedKmh, digits(gear.speedKmh)),
    gear.stepPercent === null ? '-' : signed(gear.stepPercent, 1),
    gear.sprocketStepPercent === null ? '-' : signed(gear.sprocketStepPercent, 1),
    gear.repeated ? 'yes' : '',
  ]);
  const columns = [
    { title: 'gear' },
    right('ratio'),
    right('='),
    right('development m'),
    right(`km/h at ${plain(finding.cadenceRpm, 0)}/min`),
    right('step %'),
    right('step by sprocket %'),
    { title: 'again elsewhere' },
  ];
  const from =
    finding.circumferenceFrom === 'measured' ? 'as rolled out' : 'worked out from the designation';
  const low = finding.circumferenceMCi95;
  const note = `Wheel ${plain(finding.circumferenceM, intervalDigits(low))} m round, ${from} (95 % ${interval(low)}); developments and speeds are good to ${plain(finding.circumferenceCi95Percent, 1)} %, ratios and steps are exact. Range ${plain(finding.rangePercent, 0)} %; ${finding.distinctRatios} different ratios of ${finding.gears.length}; chain capacity needed ${finding.chainCapacityTeeth} teeth.`;
  return `Gears, easiest first\n${textTable(columns, rows)}\n${fold(note)}`;
}

function rings({ rings: spans }: GearsFinding): string {
  if (spans.length < 2) return '';
  return textTable(
    [
      right('chainring'),
      right('from'),
      right('to'),
      right('repeated by the next larger %'),
      right('gears of it within'),
    ],
    spans.map((ring) => [
      String(ring.chainring),
      ring.lowestRatio.toFixed(3),
      ring.highestRatio.toFixed(3),
      ring.overlapPercent === null ? '-' : plain(ring.overlapPercent, 0),
      ring.gearsRepeated === null ? '-' : String(ring.gearsRepeated),
    ]),
  );
}

function climbs({ climbs: rows, steepest }: GearsFinding): string {
  if (rows.length === 0) return '';
  const gear = ({ chainring, sprocket }: { chainring: number; sprocket: number }): string =>
    `${chainring} by ${sprocket}`;
  const cells = (row: ClimbRow, i: number): string[] => [
    `${row.name ?? `climb ${i + 1}`}${i === steepest ? ' (steepest)' : ''}`,
    plain(row.gradientPercent, 1),
    plain(row.lengthM, 0),
    within(row.speedKmh, row.speedKmhCi95),
    `${clock(row.timeSCi95[0])} to ${clock(row.timeSCi95[1])}`,
    within(row.cadenceRpm, row.cadenceRpmCi95),
    row.verdict,
    row.hardestGear === null ? 'none' : gear(row.hardestGear),
    within(row.powerAtLeastCadenceW, row.powerAtLeastCadenceWCi95),
    row.neededRatio.toFixed(2),
  ];
  const columns = [
    { title: 'climb' },
    right('%'),
    right('m'),
    right('km/h (95 %)'),
    right('time (95 %)'),
    right(`1/min in ${gear(rows[0].easiestGear)} (95 %)`),
    { title: 'verdict' },
    right('hardest gear'),
    right('W at least cadence (95 %)'),
    right('ratio needed'),
  ];
  const note =
    'At the rider’s power, steady and in still air. Hardest gear and ratio needed: that keep the least cadence. W at least cadence: what the easiest gear demands then.';
  return `Climbs\n${textTable(columns, rows.map(cells))}\n${fold(note)}`;
}

const interval = (ci: Interval): string =>
  `${plain(ci[0], intervalDigits(ci))} to ${plain(ci[1], intervalDigits(ci))}`;

const within = (value: number, ci: Interval): string =>
  `${plain(value, intervalDigits(ci))} (${interval(ci)})`;

function clock(seconds: number): string {
  const whole = Math.round(seconds);
  const pad = (part: number): string => String(part).padStart(2, '0');
  const [hours, minutes] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60];
  return hours > 0
    ? `${hours}:${pad(minutes)}:${pad(whole % 60)}`
    : `${minutes}:${pad(whole % 60)}`;
}

function notes(title: string, texts: string[]): string {
  return texts.length === 0 ? '' : `${title}\n${texts.map((text) => fold(text, '  ')).join('\n')}`;
}
