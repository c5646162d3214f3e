/** Plucks heard in the workshop, laid on the spokes: which spoke, what pitch, what tension. */
import type { PluckSound, Wheel } from '../../evidence/index.ts';
import {
  beamTensionN,
  clampedEnds,
  pinnedEnds,
  spokeBeam,
  wheelMechanics,
} from '../../structure/index.ts';
import type { Problem } from '../../units/index.ts';
import { usualEnds, type PluckedPitch } from './model.ts';
import type { Pluck } from './result.ts';

/** One recording of plucks, all under the same torque. */
export interface PluckSession {
  file: string;
  /** Torque on the hub with the brake locked, N m; 0 is free. */
  brakeTorqueNm: number;
  plucks: readonly PluckSound[];
  /** Spokes in the order plucked; null: from 1 round the wheel. */
  spokes: readonly number[] | null;
}

export interface AssignedPlucks {
  plucks: Pluck[];
  pitches: PluckedPitch[];
  warnings: Problem[];
}

/** Below this it did not ring. */
const leastRinging = 0.5;

/** Lays each session's plucks on spokes. What cannot be told is kept without a spoke, and said. */
export function assignPlucks(
  sessions: readonly PluckSession[],
  wheel: Wheel | null,
): AssignedPlucks {
  const lengths = wheel === null ? null : wheelMechanics(wheel).spokes;
  const warnings: Problem[] = [];
  const plucks = sessions.flatMap((session) => {
    const ringing = session.plucks.filter((pluck) => pluck.ringing >= leastRinging);
    const numbers = numbersFor(session, ringing.length, lengths?.length ?? null, warnings);
    let next = 0;
    return session.plucks.map((sound): Pluck => {
      const rings = sound.ringing >= leastRinging;
      const spoke = rings ? (numbers?.[next++] ?? null) : null;
      const partial = sound.partials[sound.fundamental];
      const place = lengths?.find((one) => one.spoke === spoke);
      return {
        file: session.file,
        spoke,
        atS: sound.atS,
        hz: partial?.hz ?? 0,
        ci95: partial
          ? [
              partial.hz - 1.96 * partial.standardUncertaintyHz,
              partial.hz + 1.96 * partial.standardUncertaintyHz,
            ]
          : [0, 0],
        q: partial?.q ?? null,
        ...tensionOf(wheel, place, partial?.hz ?? null),
        brakeTorqueNm: session.brakeTorqueNm,
        used: rings && spoke !== null,
        reason: reasonOf(sound, rings, spoke),
      };
    });
  });
  return { plucks, pitches: pitchesOf(plucks), warnings };
}

function numbersFor(
  { file, spokes }: PluckSession,
  ringing: number,
  ofWheel: number | null,
  warnings: Problem[],
): readonly number[] | null {
  if (ringing === 0) {
    warnings.push({
      code: 'plucks-unusable',
      file,
      message: 'No pluck was heard that rings; taps and knocks do not tell a pitch.',
      remedy: 'Pluck each spoke midway between crossing and rim and let it ring for a second.',
    });
    return null;
  }
  const wanted = spokes?.length ?? ofWheel;
  if (wanted === null) return Array.from({ length: ringing }, (_, i) => i + 1);
  if (ringing === wanted) return spokes ?? Array.from({ length: ringing }, (_, i) => i + 1);
  warnings.push({
    code: 'plucks-unusable',
    file,
    message: `${ringing} plucks that ring were heard, but ${wanted} spokes were to be plucked, so which is which cannot be told.`,
    remedy: 'Name the spokes in the order plucked, or pluck again, each spoke once in turn.',
  });
  return null;
}

function reasonOf(sound: PluckSound, rings: boolean, spoke: number | null): string | null {
  if (!rings) return sound.doubts[0] ?? 'It does not ring like a spoke: a tap or a knock.';
  return spoke === null ? 'Which spoke it was cannot be told.' : null;
}

/**
 * Tension from the pitch with the usual ends; the interval runs from clamped to pinned ends, as the ends are
 * not calibrated here (`lapbench tension --as pitch` does that from a spoke of known tension).
 */
function tensionOf(
  wheel: Wheel | null,
  place: { side: 'left' | 'right'; lengthM: number } | undefined,
  hz: number | null,
): Pick<Pluck, 'tensionN' | 'tensionCi95'> {
  if (wheel === null || place === undefined || hz === null)
    return { tensionN: null, tensionCi95: null };
  const beam = spokeBeam(wheel.spokes[place.side], place.lengthM);
  const tensionN = beamTensionN(beam, hz, usualEnds(beam));
  const low = beamTensionN(beam, hz, clampedEnds);
  const high = beamTensionN(beam, hz, pinnedEnds);
  return {
    tensionN,
    tensionCi95: low === null || high === null ? null : [low, high],
  };
}

/** One pitch for each spoke and torque, the mean of its plucks. */
function pitchesOf(plucks: readonly Pluck[]): PluckedPitch[] {
  const groups = new Map<string, Pluck[]>();
  for (const pluck of plucks) {
    if (!pluck.used) continue;
    const key = `${pluck.spoke} ${pluck.brakeTorqueNm}`;
    groups.set(key, [...(groups.get(key) ?? []), pluck]);
  }
  return [...groups.values()].map((own) => {
    const hz = own.reduce((sum, pluck) => sum + pluck.hz, 0) / own.length;
    const widest = Math.max(...own.map((pluck) => (pluck.ci95[1] - pluck.ci95[0]) / 3.92));
    const scatter = Math.max(...own.map((pluck) => Math.abs(pluck.hz - hz)));
    return {
      spoke: own[0].spoke!,
      hz,
      spread: Math.max(widest, scatter) / hz,
      brakeTorqueNm: own[0].brakeTorqueNm,
    };
  });
}
