/** The spoke tension at which the rim's compression has used up the wheel's stiffness. */
import type { BySide, Wheel } from '../evidence/index.ts';
import { assemble, wheelModel } from './model.ts';
import type { ModelOptions, WheelModel } from './model.ts';

export interface Collapse {
  /** Mean tension of each side at that point, N; the sides keep their ratio. */
  bySideN: BySide<number>;
  /** That of the tighter side, N. */
  tensionN: number;
  /** Over the tension that the wheel has; null when it has none. */
  factor: number | null;
}

/** A wheel without tension is taken with 1 N on the left, the right side balancing it. */
const withTension = (wheel: Wheel): Wheel => {
  const { left, right } = wheel.spokes;
  if ((left.meanTensionN ?? 0) > 0 || (right.meanTensionN ?? 0) > 0) return wheel;
  return {
    ...wheel,
    spokes: { left: { ...left, meanTensionN: 1 }, right: { ...right, meanTensionN: null } },
  };
};

/** Smallest factor on the model's tensions with a singular stiffness; null when none up to `most`. */
export function collapseFactor(model: WheelModel, most: number, rel = 1e-6): number | null {
  const standsAt = (factor: number): boolean =>
    assemble(model, { tensionFactor: factor }).factor(0).negative === 0;
  // The stiffness is linear in the factor, and positive definite matrices form a convex set: once the wheel
  // has given way it never stands again at a higher factor.
  let [low, high] = [0, most / 1024];
  while (standsAt(high)) {
    [low, high] = [high, 2 * high];
    if (high > most) return null;
  }
  while (high - low > rel * high) {
    const middle = (low + high) / 2;
    if (standsAt(middle)) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/**
 * Smallest tension at which the wheel's stiffness matrix becomes singular, by bisection on the number of
 * negative pivots (Sylvester's law of inertia). Far above what spokes, nipples and rim holes bear: a
 * margin, never a target. Null when there is none below 1 MN. Throws `wheel-geometry`.
 */
export function collapseTensionN(wheel: Wheel, options: ModelOptions = {}): Collapse | null {
  const pulled = withTension(wheel);
  const { model } = wheelModel(pulled, options);
  const mean = (side: 'left' | 'right'): number => {
    const own = model.spokes.filter((spoke) => spoke.side === side);
    return own.reduce((sum, spoke) => sum + spoke.tensionN, 0) / own.length;
  };
  const [left, right] = [mean('left'), mean('right')];
  const factor = collapseFactor(model, 1e6 / Math.max(left, right));
  if (factor === null) return null;
  return {
    bySideN: { left: left * factor, right: right * factor },
    tensionN: Math.max(left, right) * factor,
    factor: pulled === wheel ? factor : null,
  };
}
