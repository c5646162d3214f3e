/** Spokes against brake torque: the plain numbers, and what they say in words. */
import { fixed, thin } from './numbers.ts';

/** One bending of one spoke against brake torque. */
export interface NoiseCurve {
  spoke: number;
  side: 'left' | 'right' | null;
  underBraking: 'gains' | 'loses' | 'unchanged';
  plane: 'both' | 'flatwise' | 'edgewise';
  torqueNm: readonly number[];
  hz: readonly number[];
}

export interface CurveTone {
  tone: number;
  hz: number;
  ci95: readonly [number, number];
}

export interface NoiseCurvesData {
  curves: readonly NoiseCurve[];
  tones: readonly CurveTone[];
  /** Torque of the brake while it howled. */
  held: { value: number; ci95: readonly [number, number] } | null;
  /** Spoke that is shown out of the others. */
  spoke: number | null;
  /** Tone that is. */
  tone: number | null;
}

/** What braking does to a spoke. */
export type Fate = NoiseCurve['underBraking'];

/** How each kind of spoke is drawn and called. */
export const fates: readonly { fate: Fate; words: string; dash: string }[] = [
  { fate: 'loses', words: 'lose tension', dash: '7 5' },
  { fate: 'gains', words: 'gain tension', dash: '' },
  { fate: 'unchanged', words: 'unchanged', dash: '1.5 5' },
];

/** Frequency of a curve at a torque, between its points; null outside of them. */
export function hzAtTorque({ torqueNm, hz }: NoiseCurve, torque: number): number | null {
  for (let i = 1; i < hz.length; i++) {
    const [a, b] = [torqueNm[i - 1], torqueNm[i]];
    if (torque < Math.min(a, b) || torque > Math.max(a, b) || a === b) continue;
    return hz[i - 1] + ((torque - a) / (b - a)) * (hz[i] - hz[i - 1]);
  }
  return null;
}

/** `spoke 3 (left) loses tension: 432 Hz free, 391 Hz at 45 N m`: for a line beside the picture. */
export function curveWords(curve: NoiseCurve, torque: number | null): string {
  const free = hzAtTorque(curve, 0);
  const at = torque === null ? null : hzAtTorque(curve, torque);
  const plane = curve.plane === 'both' ? '' : `, ${curve.plane}`;
  const fate =
    curve.underBraking === 'unchanged' ? 'keeps its tension' : `${curve.underBraking} tension`;
  const values = [
    free === null ? '' : `${fixed(free, 0)}${thin}Hz free`,
    at === null ? '' : `${fixed(at, 0)}${thin}Hz at ${fixed(torque ?? 0, 0)}${thin}N${thin}m`,
  ].filter(Boolean);
  return `Spoke ${curve.spoke}${curve.side === null ? '' : ` (${curve.side})`}${plane} ${fate}: ${values.join(', ')}.`;
}

/** The whole drawing in words. */
export function describeCurves(
  data: NoiseCurvesData,
  drawn: readonly NoiseCurve[],
  near: readonly CurveTone[],
): string {
  const groups = fates.flatMap(({ fate, words }) => {
    const own = drawn.filter(({ underBraking }) => underBraking === fate);
    if (own.length === 0) return [];
    const spokes = new Set(own.map(({ spoke }) => spoke)).size;
    const span = (at: 0 | -1) => {
      const values = own.map(({ hz }) => hz.at(at)!);
      return `${fixed(Math.min(...values), 0)} to ${fixed(Math.max(...values), 0)}${thin}Hz`;
    };
    return [
      `${spokes} ${spokes === 1 ? 'spoke' : 'spokes'} ${words}: ${span(0)} at the least torque, ${span(-1)} at the most.`,
    ];
  });
  const tones = near.map(({ tone, hz }) => `tone ${tone} at ${fixed(hz, 0)}${thin}Hz`);
  const far = data.tones.filter((one) => !near.includes(one)).map(({ tone }) => tone);
  return [
    ...groups,
    tones.length > 0 ? `Laid across: ${tones.join(', ')}.` : 'No tone lies among them.',
    far.length > 0 ? `Outside of the drawing: tone ${far.join(', ')}.` : '',
    data.held === null ? '' : `Held torque ${fixed(data.held.value, 0)}${thin}N${thin}m.`,
  ]
    .filter(Boolean)
    .join(' ');
}
