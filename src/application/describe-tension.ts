/** Spoke tensions in words and columns. */
import { turnsInWords } from '../core/methods/index.ts';
import { describeProblem } from '../core/units/index.ts';
import type { BalancePlan, SideTension, TensionFinding } from './contract.ts';
import { intervalDigits, plain, signed } from './digits.ts';
import { fold, textTable } from './text-table.ts';

/** One sentence: whether the wheel is inside, and what it takes. */
export function tensionHeadline(finding: TensionFinding): string {
  const { spokes, tolerance, balance } = finding;
  const within = `${plainPercent(tolerance.percent)} % of ${one(spokes.length) ? 'its' : 'their'} side’s mean`;
  const above = spokes.filter(({ aboveMaximum }) => aboveMaximum).length;
  const outside = spokes.filter(({ insideTolerance }) => !insideTolerance).length;
  const state =
    outside === 0
      ? `All ${spokes.length} spokes within ${within}`
      : `${outside} of ${spokes.length} spokes not within ${within}`;
  const tooTight = above === 0 ? '' : `, ${above} above the maximum`;
  const plan =
    balance === null
      ? ''
      : balance.reached
        ? `: ${turnsInWords(balance.totalTurns)} at ${count(balance.turns.length, 'nipple')} bring all inside`
        : ': no turns found that bring all inside';
  return `${state}${tooTight}${plan}.`;
}

/** The whole finding as text. */
export function describeTension(finding: TensionFinding): string {
  const blocks = [
    `Spoke tension, ${source(finding)}\n${fold(tensionHeadline(finding))}`,
    sidesTable(finding),
    ratioText(finding),
    spokesTable(finding),
    planText(finding),
    pitchText(finding.pitch),
    notes('Warnings', finding.warnings.map(describeProblem)),
    notes('Cautions', finding.cautions),
    foot(finding),
  ];
  return `${blocks.filter((block) => block !== '').join('\n\n')}\n`;
}

const one = (n: number): boolean => n === 1;
const count = (n: number, what: string): string => `${n} ${what}${one(n) ? '' : 's'}`;
const plainPercent = (percent: number): string => String(Number(percent.toPrecision(3)));
const newtons = (tensionN: number): string => plain(tensionN, 0);
const right = (title: string) => ({ title, align: 'right' as const });

function source({ as, readings, spokes, repeatabilityN }: TensionFinding): string {
  const how = {
    tension: 'read as tension',
    gauge: 'read on a gauge, through its table',
    pitch: 'from the pitch of plucked spokes',
  }[as];
  const repeat =
    repeatabilityN === null ? '' : `; a reading repeats within ${plain(repeatabilityN, 0)} N (1 s)`;
  return `${how} (${count(readings, 'reading')} of ${count(spokes.length, 'spoke')}${repeat})`;
}

function sidesTable({ sides, tolerance }: TensionFinding): string {
  const columns = [
    { title: 'side' },
    right('spokes'),
    right('mean N'),
    right('95 % interval'),
    right('spread %'),
    right('from'),
    right('to'),
    { title: 'worst' },
  ];
  const rows = sides.map((side) => [
    side.side,
    String(side.spokes),
    plain(side.meanN, meanDigits(side)),
    side.meanCi95 === null
      ? 'not known'
      : side.meanCi95.map((end) => plain(end, meanDigits(side))).join(' to '),
    plain(side.spreadPercent, 1),
    newtons(side.lowestN),
    newtons(side.highestN),
    `spoke ${side.worst.spoke}, ${signed(side.worst.deviationPercent, 0)} %`,
  ]);
  const runs = sides.flatMap(({ side, runs: own }) =>
    own.map((run) =>
      fold(
        `Spokes ${run.spokes.join(', ')} on the ${side} are ${run.kind} together (${signed(run.deviationPercent, 0)} % on average).`,
      ),
    ),
  );
  const title = `Sides (tolerance ${plainPercent(tolerance.percent)} % of the mean: ${tolerance.source})`;
  return [title, textTable(columns, rows), ...runs].join('\n');
}

const meanDigits = ({ meanCi95 }: SideTension): number =>
  meanCi95 === null ? 0 : Math.min(1, intervalDigits(meanCi95));

function ratioText({ ratio }: TensionFinding): string {
  if (ratio === null) return '';
  const digits = ratio.measuredCi95 === null ? 2 : Math.min(4, intervalDigits(ratio.measuredCi95));
  const interval =
    ratio.measuredCi95 === null
      ? ''
      : ` (${ratio.measuredCi95.map((end) => plain(end, digits)).join(' to ')})`;
  const demanded =
    ratio.demanded === null
      ? '; what the geometry demands is known with a wheel sheet.'
      : `; the geometry of hub and rim demands ${plain(ratio.demanded, Math.max(2, digits))} (measured ${signed(ratio.differencePercent!, 1)} %).`;
  return fold(`Left to right ${plain(ratio.measured, digits)}${interval}${demanded}`, '');
}

function spokesTable({ spokes, balance, as }: TensionFinding): string {
  const planned = balance !== null && balance.turns.length > 0;
  const columns = [
    right('spoke'),
    { title: 'side' },
    ...(as === 'tension' ? [] : [right(as === 'pitch' ? 'Hz' : 'gauge')]),
    right('N'),
    right('%'),
    ...(planned ? [right('after N')] : []),
    { title: '' },
  ];
  const rows = spokes.map((spoke, i) => [
    String(spoke.spoke),
    spoke.side,
    ...(as === 'tension' ? [] : [String(Number(spoke.reading.toPrecision(5)))]),
    newtons(spoke.tensionN),
    signed(spoke.deviationPercent, 0),
    ...(planned ? [newtons(balance.predictedN[i])] : []),
    [
      ...(spoke.insideTolerance ? [] : ['outside']),
      ...(spoke.aboveMaximum ? ['above the maximum'] : []),
    ].join(', '),
  ]);
  return `Spokes\n${textTable(columns, rows)}`;
}

function planText({ balance, balanceReason }: TensionFinding): string {
  if (balance === null) return balanceReason === null ? '' : `What to turn\n${fold(balanceReason)}`;
  if (balance.turns.length === 0) return `What to turn\n${fold(balance.meaning)}`;
  const columns = [right('step'), right('spoke'), { title: 'side' }, { title: 'turn' }];
  const rows = balance.turns.map(({ spoke, side, quarterTurns }, i) => [
    String(i + 1),
    String(spoke),
    side,
    `${quarterTurns > 0 ? 'tighten' : 'loosen'} ${turnsInWords(Math.abs(quarterTurns) / 4)}`,
  ]);
  return [
    `What to turn, in this order`,
    fold(balance.meaning),
    textTable(columns, rows),
    fold(afterwards(balance)),
  ].join('\n');
}

function afterwards(plan: BalancePlan): string {
  return (
    `Afterwards the furthest spoke is ${plain(plan.residualPercent, 0)} % off its mean and the tightest has ${newtons(plan.highestN)} N ` +
    `(${newtons(plan.highestOnTheWayN)} N on the way). The rim moves up to ${plain(plan.lateralMm, 2)} mm sideways (limit ${plain(plan.limits.lateralMm, 2)}) ` +
    `and ${plain(plan.radialMm, 2)} mm up or down (limit ${plain(plan.limits.radialMm, 2)}). Computed from the sheet: read the tensions again after turning.`
  );
}

function pitchText(pitch: TensionFinding['pitch']): string {
  if (pitch === null) return '';
  const { condition, knownSpokes, endFixity, meanByConditionN: by } = pitch;
  const known = knownSpokes
    .map(({ spoke, tensionN }) => `spoke ${spoke} (${newtons(tensionN)} N)`)
    .join(', ');
  const how =
    condition === 'calibrated'
      ? `Ends calibrated on ${known}: they hold ${plain(100 * (endFixity ?? 0), 0)} % of what clamped ends would.`
      : `Ends taken as ${condition}, not calibrated.`;
  return fold(
    `${how} Mean over all spokes by condition: clamped ${newtons(by.clamped)} N, pinned ${newtons(by.pinned)} N, plain string ${newtons(by.string)} N. A blade is taken as plucked flat, across its thin side.`,
    '',
  );
}

function notes(title: string, texts: string[]): string {
  return texts.length === 0 ? '' : `${title}\n${texts.map((text) => fold(text, '  ')).join('\n')}`;
}

function foot({ method, inputs }: TensionFinding): string {
  const files = inputs.map(({ file, sha256 }) => `${file} ${sha256.slice(0, 12)}`);
  return fold(`Method ${method}. Inputs (start of SHA-256): ${files.join(', ')}.`, '');
}
