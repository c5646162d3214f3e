/** The way round the wheel: which spoke next, what was taken, and how to go back. Pure; kept in the browser as it is. */
import type { HeardPluck, Hearing, PluckSound, WheelShapes } from '../../application/contract.ts';

export type Side = 'left' | 'right';

export interface PlannedSpoke {
  spoke: number;
  /** Null where nobody said. */
  side: Side | null;
  /** Spokes of one kind lean the same way on the same side: null without a wheel sheet. */
  lean: 'ahead' | 'behind' | 'radial' | null;
  /** Where its ends stand, degrees clockwise from the first spoke, seen from the right; the hub's radius in rim radii. */
  rimDeg: number;
  hubDeg: number;
  hubShare: number;
}

export interface PluckPlan {
  wheel: string | null;
  spokes: PlannedSpoke[];
  lever: { massKg: number; lengthM: number } | null;
  /** Recording of a howl that the plucks belong to. */
  noise: string | null;
  setup: string;
  /** Stored plucks of the same wheel, shown beside these. */
  beside: string | null;
}

/** A pluck that was heard and taken. */
export interface Taken {
  /** Number of its piece of sound. */
  piece: number;
  /** Length of the piece, and where in it the stroke begins, s. */
  lengthS: number;
  atS: number;
  spoke: number;
  hz: number;
  ci95: [number, number];
  q: number | null;
  /** Done again since: stays in the recording, does not count. */
  out: boolean;
}

export interface Step {
  /** Null: all are done. */
  now: number | null;
  taken: Taken[];
  skipped: number[];
}

export interface PluckSession {
  plan: PluckPlan;
  step: Step;
  past: Step[];
  /** Number of the next piece of sound. */
  pieces: number;
  /** The stored sound, once there is one; then only its spokes may still have to be laid on what was heard. */
  sound: string | null;
}

const mostPast = 40;

/** Spokes in an even circle, sides in turn from that of the first: all that a number of spokes tells. */
export const evenSpokes = (count: number, first: Side | null): PlannedSpoke[] =>
  Array.from({ length: count }, (_, i) => {
    const other = first === 'left' ? 'right' : 'left';
    const rimDeg = (360 * i) / count;
    const side = first === null || i % 2 === 0 ? first : other;
    return { spoke: i + 1, side, lean: null, rimDeg, hubDeg: rimDeg, hubShare: 0.1 };
  });

/** Spokes as a wheel sheet has them. */
export function spokesOf({ rimRadiusM, spokes }: WheelShapes): PlannedSpoke[] {
  return spokes.map(({ spoke, side, rim, hub }) => {
    const ahead = ((hub.angleDeg - rim.angleDeg + 540) % 360) - 180;
    return {
      spoke,
      side,
      lean: Math.abs(ahead) < 1 ? 'radial' : ahead > 0 ? 'ahead' : 'behind',
      rimDeg: rim.angleDeg,
      hubDeg: hub.angleDeg,
      hubShare: hub.radiusM / rimRadiusM,
    };
  });
}

export const beginSession = (plan: PluckPlan): PluckSession => ({
  plan,
  step: { now: plan.spokes[0]?.spoke ?? null, taken: [], skipped: [] },
  past: [],
  pieces: 0,
  sound: null,
});

/** Spokes whose pluck counts. */
export const countedOf = ({ taken }: Step): Taken[] => taken.filter(({ out }) => !out);

const stepped = (session: PluckSession, step: Step): PluckSession => ({
  ...session,
  step,
  past: [...session.past, session.step].slice(-mostPast),
});

/** The pluck counts for the spoke that it names, in place of an earlier one; on to the next. */
export function take(session: PluckSession, pluck: Omit<Taken, 'out'>): PluckSession {
  const { step, plan } = session;
  const earlier = step.taken.map((one) =>
    one.spoke === pluck.spoke ? { ...one, out: true } : one,
  );
  const taken = [...earlier, { ...pluck, out: false }];
  const skipped = step.skipped.filter((spoke) => spoke !== pluck.spoke);
  const next = { ...step, taken, skipped };
  return {
    ...stepped(session, { ...next, now: nextAfter(plan, next, pluck.spoke) }),
    pieces: Math.max(session.pieces, pluck.piece + 1),
  };
}

/** Passed over for now; it comes again when all others are done. */
export function skip(session: PluckSession): PluckSession {
  const { step, plan } = session;
  if (step.now === null) return session;
  const skipped = [...step.skipped.filter((spoke) => spoke !== step.now), step.now];
  const next = { ...step, skipped };
  return stepped(session, { ...next, now: nextAfter(plan, next, step.now) });
}

/** That spoke next; what was taken of it counts until the new pluck is heard. */
export const goTo = (session: PluckSession, spoke: number): PluckSession =>
  session.step.now === spoke ? session : stepped(session, { ...session.step, now: spoke });

/** The last spoke once more. */
export function again(session: PluckSession): PluckSession {
  const last = countedOf(session.step).at(-1);
  return last ? goTo(session, last.spoke) : session;
}

/** Takes back the last of all that was done: a pluck, a spoke passed over, a way back. */
export function undo(session: PluckSession): PluckSession {
  const step = session.past.at(-1);
  return step ? { ...session, step, past: session.past.slice(0, -1) } : session;
}

/** The spoke after that one which is neither taken nor skipped; then those skipped; null when there is none. */
function nextAfter({ spokes }: PluckPlan, step: Step, spoke: number): number | null {
  const done = new Set(countedOf(step).map((one) => one.spoke));
  const after = spokes.findIndex((one) => one.spoke === spoke) + 1;
  const order = spokes.map((_, i) => spokes[(after + i) % spokes.length].spoke);
  const open = order.filter((one) => !done.has(one));
  return (
    open.find((one) => !step.skipped.includes(one)) ??
    open.find((one) => one !== spoke) ??
    open[0] ??
    null
  );
}

/** Where each piece lies when all are laid end to end. */
export function placesOf(taken: readonly Taken[]): { fromS: number; toS: number; atS: number }[] {
  let end = 0;
  return taken.map(({ lengthS, atS }) => {
    const fromS = end;
    end += lengthS;
    return { fromS, toS: end, atS: fromS + atS };
  });
}

/** Least `ringing` with which a pluck is laid on a spoke, as in the application. */
export const leastRinging = 0.5;

/**
 * Which spokes and which to leave out, from what was heard in the pieces laid end to end: the stroke nearest to the
 * one that was taken counts for its spoke, all others of the piece do not.
 */
export function ordered(
  taken: readonly Taken[],
  heard: readonly Pick<HeardPluck, 'pluck' | 'atS' | 'ringing'>[],
): { spokes: number[]; leaveOut: number[] } {
  const places = placesOf(taken);
  const spokes: number[] = [];
  const counts = new Set<number>();
  taken.forEach(({ spoke, out }, i) => {
    if (out) return;
    const { fromS, toS, atS } = places[i];
    const own = heard
      .filter((one) => one.atS >= fromS && one.atS < toS && Math.abs(one.atS - atS) < 0.2)
      .sort((a, b) => Math.abs(a.atS - atS) - Math.abs(b.atS - atS))[0];
    if (!own) return;
    counts.add(own.pluck);
    if (own.ringing >= leastRinging) spokes.push(spoke);
  });
  return {
    spokes,
    leaveOut: heard.filter(({ pluck }) => !counts.has(pluck)).map(({ pluck }) => pluck),
  };
}

export type Verdict =
  | { kind: 'nothing' }
  | { kind: 'tap'; why: string }
  | {
      kind: 'pluck' | 'doubtful';
      hz: number;
      ci95: [number, number];
      q: number | null;
      atS: number;
      /** Why it should be plucked again; empty for a good one. */
      why: string;
    };

/** Nearer than this to the pitch taken just before, it may be that spoke which still rings: share of it. */
const sameTone = 0.002;

/** What a cutting with one stroke in it gave. `ringing`: another spoke, plucked a few seconds ago at most. */
export function judge(
  { plucks, levels }: Pick<Hearing, 'plucks' | 'levels'>,
  ringing: { spoke: number; hz: number } | null = null,
): Verdict {
  const best = [...plucks].sort((a, b) => b.ringing - a.ringing)[0] as PluckSound | undefined;
  if (!best) return { kind: 'nothing' };
  const partial = best.partials[best.fundamental];
  if (!partial || best.ringing < leastRinging) {
    return {
      kind: 'tap',
      why: best.doubts[0] ?? 'it hardly rings: a tap, a knock or a damped spoke',
    };
  }
  const half = 1.96 * partial.standardUncertaintyHz;
  const still = ringing !== null && Math.abs(partial.hz / ringing.hz - 1) < sameTone;
  const doubts = [
    ...best.doubts,
    ...(still
      ? [`the tone of spoke ${ringing.spoke}, which may still have rung: let it fade`]
      : []),
    ...(levels.clippedShare > 0
      ? ['too loud for the microphone: pluck softer or go further off']
      : []),
  ];
  return {
    kind: doubts.length > 0 ? 'doubtful' : 'pluck',
    hz: partial.hz,
    ci95: [partial.hz - half, partial.hz + half],
    q: partial.q,
    atS: best.atS,
    why: doubts[0] ?? '',
  };
}

/** Share by which a pitch lies off the median of its kind where it counts as far off: some 20 % of tension. */
export const farOff = 0.1;

/**
 * By how much of it each pitch lies off the median of its kind: the same side, and under torque the same lean, as
 * braking tightens one half of the spokes and lets the other half go. Null where fewer than four can be compared.
 */
export function offMedian(
  pitches: readonly { spoke: number; hz: number }[],
  spokes: readonly PlannedSpoke[],
  underTorque: boolean,
): Map<number, number | null> {
  const kindOf = (spoke: number): string | null => {
    const one = spokes.find((other) => other.spoke === spoke);
    if (!one || (underTorque && one.lean === null)) return null;
    return underTorque ? `${one.side} ${one.lean}` : `${one.side}`;
  };
  return new Map(
    pitches.map(({ spoke, hz }) => {
      const kind = kindOf(spoke);
      const own = pitches
        .filter((one) => kind !== null && kindOf(one.spoke) === kind)
        .map((one) => one.hz)
        .sort((a, b) => a - b);
      if (own.length < 4) return [spoke, null];
      const middle = (own[Math.floor((own.length - 1) / 2)] + own[Math.floor(own.length / 2)]) / 2;
      return [spoke, hz / middle - 1];
    }),
  );
}
