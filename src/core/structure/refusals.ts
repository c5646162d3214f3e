/** Why a wheel has no answer, said once. */
import { LapbenchError } from '../units/index.ts';
import type { RingFactor } from './banded.ts';
import type { WheelModel } from './model.ts';

export function refuse(message: string, remedy: string): never {
  throw new LapbenchError({ code: 'wheel-cannot-stand', message, remedy });
}

/** Throws unless some spoke pulls. */
export function requireTension({ spokes }: WheelModel): void {
  const slack = spokes.filter(({ tensionN }) => !(tensionN > 0)).length;
  if (slack === spokes.length) {
    refuse(
      'No spoke is under tension, and a spoke cannot push: the wheel cannot stand.',
      'Give meanTensionN for one side at least.',
    );
  }
  if (spokes.some(({ tensionN }) => !Number.isFinite(tensionN) || tensionN < 0)) {
    refuse('A spoke has a tension below zero.', 'Give tensions in newtons, zero or above.');
  }
}

/** Throws unless torque can reach the rim by spokes that stretch. */
export function requireCrossed({ spokes }: WheelModel): void {
  if (spokes.every(({ role }) => role === 'radial')) {
    refuse(
      'All spokes are radial, and torque is put on the hub: nothing but a wind-up of the hub carries it.',
      'Lace at least one side crossed for a disc brake or drive, or leave the torque out.',
    );
  }
}

// Round-off leaves a pivot of a mechanism near 1e-12 of its diagonal; a standing wheel keeps above 1e-8.
const leastPivot = 1e-11;

/** Throws when a factored wheel does not stand. */
export function requireStanding(factor: RingFactor, slack = 0): void {
  if (factor.negative === 0 && factor.smallest > leastPivot) return;
  if (slack > 0) {
    refuse(
      `With ${slack} spokes slack the rim is no longer held: the load is more than the wheel can carry.`,
      'Use a smaller load or more tension.',
    );
  }
  refuse(
    'The rim gives way sideways under this spoke tension: it is above the one at which stiffness is gone.',
    'Use less tension, and never more than the maker allows.',
  );
}
