/**
 * Whether a tyre's designated width goes with a rim's inner width, by the rules at hand. They disagree in
 * places and not all editions were seen; what no rule speaks of is said to be not covered.
 */

/** `disputed`: one source takes the pair and another does not. */
export type FitVerdict = 'within' | 'disputed' | 'outside' | 'not covered';

/** What one source says of the pair. */
export interface FitRule {
  rule: string;
  source: string;
  /** Null: it says nothing of this pair. */
  takes: boolean | null;
}

/** Editable: inner width of the rim, and the narrowest tyre named for it; mm, growing. */
const narrowestByTable: readonly Row[] = [
  [23, 28],
  [25, 29],
];

/** Editable: inner width of the rim, and the widest tyre named for it; mm, growing. Editions differ by 2 mm. */
const widestByTable: readonly Row[] = [
  [13, 25],
  [15, 32],
  [17, 52],
  [19, 62],
  [21, 64],
];

type Row = readonly [innerMm: number, tyreMm: number];

/** Rules on a pair, designated and inner width in metres: too narrow a tyre twice, then too wide a one. */
export function fitRules(designatedWidthM: number, rimInnerWidthM: number): FitRule[] {
  const tyre = Math.round(designatedWidthM * 1e4) / 10;
  const inner = Math.round(rimInnerWidthM * 1e4) / 10;
  return [
    {
      rule: `at least 5 mm wider than the rim is inside`,
      source: 'ETRTO recommendation of 2023, as reported in the trade press of June 2023',
      takes: tyre >= inner + 5,
    },
    {
      rule: `not narrower than ${inTable(narrowestByTable)}`,
      source: 'ISO 5775-1:2023, from memory',
      takes: wideEnough(tyre, inner),
    },
    {
      rule: `not wider than ${inTable(widestByTable)}`,
      source: 'older editions of ISO 5775-1, from memory; they differ',
      takes: narrowEnough(tyre, inner),
    },
  ];
}

const inTable = (rows: readonly Row[]): string =>
  `${rows.map(([inner, tyre]) => `${tyre} mm on ${inner}`).join(', ')}`;

/** A wider rim never asks for a narrower tyre, so rows speak for their neighbours; where they do not, null. */
function wideEnough(tyre: number, inner: number): boolean | null {
  if (narrowestByTable.some(([rim, least]) => rim <= inner && tyre < least)) return false;
  return narrowestByTable.some(([rim, least]) => rim >= inner && tyre >= least) ? true : null;
}

function narrowEnough(tyre: number, inner: number): boolean | null {
  if (widestByTable.some(([rim, most]) => rim >= inner && tyre > most)) return false;
  return widestByTable.some(([rim, most]) => rim <= inner && tyre <= most) ? true : null;
}

/** The verdict of the rules of `fitRules` together. */
export function fitVerdict(rules: readonly FitRule[]): FitVerdict {
  const [spare, narrowest, widest] = rules.map(({ takes }) => takes);
  if (narrowest !== null && spare !== narrowest) return 'disputed';
  if (spare === false || widest === false) return 'outside';
  // Both ends must have been looked at for a plain yes.
  return widest === null ? 'not covered' : 'within';
}
