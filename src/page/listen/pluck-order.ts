/** Which pluck is which spoke, as the options of the sound say it: one list in order, and those left out. */
import type { HeardPluck, PluckOptions } from '../../application/contract.ts';
import { leastRinging } from './pluck-plan.ts';

type Order = Pick<PluckOptions, 'spokes' | 'leaveOut'>;
type Placed = Pick<HeardPluck, 'pluck' | 'spoke' | 'ringing'>;

/** Whether the application lays it on a spoke, when it is not left out. */
const counts = (one: Placed, leaveOut: readonly number[]): boolean =>
  one.ringing >= leastRinging && !leaveOut.includes(one.pluck);

function orderOf(
  heard: readonly Placed[],
  leaveOut: readonly number[],
  spokeOf: (one: Placed) => number,
): Order {
  const spokes = heard.filter((one) => counts(one, leaveOut)).map(spokeOf);
  return { spokes, leaveOut: [...leaveOut].sort((a, b) => a - b) };
}

/** For a pluck without a spoke: the first number that no other pluck has. */
function unused(heard: readonly Placed[]): () => number {
  const taken = new Set(heard.map(({ spoke }) => spoke));
  let next = 1;
  return () => {
    while (taken.has(next)) next++;
    taken.add(next);
    return next;
  };
}

/** One pluck laid on another spoke; the others stay where they are. */
export function withSpoke(
  heard: readonly Placed[],
  { leaveOut }: Order,
  pluck: number,
  spoke: number,
): Order {
  const free = unused(heard);
  return orderOf(heard, leaveOut, (one) => (one.pluck === pluck ? spoke : (one.spoke ?? free())));
}

/** Left out, or counted again: then on the given spoke, or on the first that has no pluck. */
export function withCounted(
  heard: readonly Placed[],
  { leaveOut }: Order,
  pluck: number,
  count: boolean,
): Order {
  const free = unused(heard);
  const others = leaveOut.filter((one) => one !== pluck);
  return orderOf(heard, count ? others : [...others, pluck], (one) => one.spoke ?? free());
}

/** From 1 on in the order heard: where nobody said which spoke was plucked when. */
export function inTurn(heard: readonly Placed[], { leaveOut }: Order): Order {
  let next = 1;
  return orderOf(heard, leaveOut, () => next++);
}
