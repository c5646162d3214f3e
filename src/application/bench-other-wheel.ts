/** The wheel sheet, another bench item, that a bench item refers to. */
import type { Problem } from '../core/units/index.ts';
import type { BenchKind, TensionOptions, WheelOptions } from './contract.ts';

export interface OtherWheel {
  title: string;
  sheet: string;
}

const fieldOf = { tension: 'wheel', wheel: 'compareWith' } as const;

/** The id of the item referred to; null without one. */
export function otherWheelOf(item: { kind: BenchKind; options: unknown }): string | null {
  if (item.kind === 'tension') return (item.options as TensionOptions).wheel ?? null;
  if (item.kind === 'wheel') return (item.options as WheelOptions).compareWith ?? null;
  return null;
}

/** Said beside the result when the wheel was removed since. */
export function wheelGone(kind: BenchKind): Problem {
  return {
    code: 'bench-item-removed',
    place: { field: place(kind) },
    message: 'The wheel sheet that this refers to is no longer in the library.',
    remedy: 'Restore it, choose another, or choose none. Until then it counts as none.',
  };
}

/** Refused: what is referred to is no wheel that is there, or the very item. */
export function wheelNotThere(kind: BenchKind, id: string, itself: boolean): Problem {
  return {
    code: 'usage',
    place: { field: place(kind) },
    message: itself
      ? 'A wheel is not compared with itself.'
      : `There is no wheel sheet ${JSON.stringify(id.slice(0, 60))} in the library.`,
    remedy: 'Choose a wheel from the list of bench items, or none.',
  };
}

const place = (kind: BenchKind): string => `options.${kind === 'stiffness' ? '' : fieldOf[kind]}`;
