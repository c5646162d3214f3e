/**
 * How each spoke sounds against brake torque, and how each candidate spreads its tones over frequency.
 *
 * A spoke is a beam under tension with ends between pinned and clamped (`core/structure`); its tension changes
 * by the wheel's own mechanics for every newton metre of brake torque. All spreads below are standard
 * deviations of the natural logarithm, and all priors are stated here and in docs/methods/brake-noise.md.
 */
import type { SpokeSide, Wheel } from '../../evidence/index.ts';
import {
  beamFrequencyHz,
  beamTensionN,
  spokeBeam,
  wheelMechanics,
  type BeamEnds,
  type TensionedBeam,
} from '../../structure/index.ts';
import { underBraking } from '../wheel/index.ts';
import type { CauseId, SpokeCurve } from './result.ts';

/** A torque-driven change small beside this share of the largest leaves a spoke's pitch where it is. */
const smallShare = 0.03;

/** Torques at which curves are drawn, N m. */
export const curveTorquesNm: readonly number[] = Array.from({ length: 25 }, (_, i) => i * 5);

/** A spoke that may sound: its pitch at any torque, and how well that is known. */
export interface SoundingSpoke {
  spoke: number;
  side: SpokeCurve['side'];
  role: SpokeCurve['role'];
  underBraking: SpokeCurve['underBraking'];
  discSide: boolean | null;
  plane: SpokeCurve['plane'];
  basis: SpokeCurve['basis'];
  /** Pitch of a bending mode (first when left out), Hz; null where the spoke has gone slack. */
  hzAt(torqueNm: number, mode?: 1 | 2): number | null;
  tensionAt: ((torqueNm: number) => number) | null;
  /** Spread of this spoke's own pitch about the prediction, without torque. */
  spread: number;
  /** Spread of the pitch's change with torque, as a share of that change. */
  slopeSpread: number;
}

/** What plucks said of one spoke. */
export interface PluckedPitch {
  spoke: number;
  hz: number;
  /** Relative standard uncertainty. */
  spread: number;
  brakeTorqueNm: number;
}

/**
 * Ends of a spoke when no pluck of known tension says otherwise: springs that make 70 % of a clamped end's
 * effect at 1 kN. Elbow and nipple make real ends lie between pinned and clamped (common practice, no source).
 */
export function usualEnds(beam: TensionedBeam): BeamEnds {
  const spring = (0.7 / 0.3) * Math.sqrt(beam.bendingNm2 * 1000);
  return [spring, spring];
}

/** Spread of a spoke's tension about its side's mean when none was measured: 10 % (common practice, no source). */
export const unmeasuredTensionSpread = 0.1;
/** Of a pitch that is computed and not heard: ends, section and length unknown together. */
export const computedPitchSpread = 0.05;
/** Common to all pitches that were plucked: temperature of the workshop, the rider's weight on the wheel. */
export const pluckedPitchSpread = 0.003;
/** Of the mechanics' tension change per newton metre. */
export const mechanicsSlopeSpread = 0.1;

export interface SpokeInputs {
  wheel: Wheel | null;
  /** Tension log, by spoke number. */
  tensions: ReadonlyMap<number, number> | null;
  plucks: readonly PluckedPitch[];
}

/** All spokes that the wheel sheet or the plucks know. */
export function soundingSpokes({ wheel, tensions, plucks }: SpokeInputs): SoundingSpoke[] {
  if (wheel !== null) return fromWheel(wheel, tensions, plucks);
  return fromPlucks(plucks);
}

function fromWheel(
  wheel: Wheel,
  tensions: ReadonlyMap<number, number> | null,
  plucks: readonly PluckedPitch[],
): SoundingSpoke[] {
  const mechanics = wheelMechanics(wheel);
  const largest = Math.max(...mechanics.spokes.map((one) => Math.abs(one.deltaTensionPerNm)));
  return mechanics.spokes.flatMap((one) => {
    const section = wheel.spokes[one.side];
    const small = Math.abs(one.deltaTensionPerNm) < smallShare * largest;
    const planes: SpokeCurve['plane'][] = isBladed(section) ? ['flatwise', 'edgewise'] : ['both'];
    return planes.map((plane): SoundingSpoke => {
      const beam = spokeBeam(section, one.lengthM, plane === 'edgewise' ? 'edge' : 'flat');
      const ends = usualEnds(beam);
      const own = plucks.filter((pluck) => pluck.spoke === one.spoke);
      const heard = pitchLine(own, beam, ends, one.deltaTensionPerNm, plane);
      const measured = tensions?.get(one.spoke);
      const free = heard?.tensionN ?? measured ?? one.tensionN;
      const slope = heard?.slopePerNm ?? one.deltaTensionPerNm;
      const tensionAt = (torqueNm: number): number => free + slope * torqueNm;
      return {
        spoke: one.spoke,
        side: one.side,
        role: one.role,
        underBraking: small ? 'unchanged' : underBraking(one.deltaTensionPerNm, largest),
        discSide: wheel.discSide === null ? null : wheel.discSide === one.side,
        plane,
        basis: heard === null ? 'mechanics' : 'both',
        hzAt: (torqueNm, mode = 1) => {
          const tension = tensionAt(torqueNm);
          return tension > 0 ? beamFrequencyHz(beam, tension, ends, mode) : null;
        },
        tensionAt,
        spread: heard?.spread ?? (measured === undefined ? unmeasuredTensionSpread / 2 : 0.02),
        slopeSpread: heard?.slopePerNm === undefined ? mechanicsSlopeSpread : 0.03,
      };
    });
  });
}

const isBladed = ({ widthM, thicknessM }: SpokeSide): boolean =>
  widthM !== undefined && thicknessM !== undefined && widthM > 1.15 * thicknessM;

/**
 * Tension, and where plucks at two torques allow its change, that give the plucked pitches. The tension is
 * that of the assumed ends: it need not be true, it only carries the pitch along the torque.
 */
function pitchLine(
  plucks: readonly PluckedPitch[],
  beam: TensionedBeam,
  ends: BeamEnds,
  slopePerNm: number,
  plane: SpokeCurve['plane'],
): { tensionN: number; slopePerNm?: number; spread: number } | null {
  // A person plucks a blade across its flat.
  if (plane === 'edgewise') return null;
  const points = plucks.flatMap((pluck) => {
    const tensionN = beamTensionN(beam, pluck.hz, ends);
    return tensionN === null ? [] : [{ ...pluck, tensionN }];
  });
  if (points.length === 0) return null;
  const spread = Math.max(0.006, ...points.map((point) => point.spread));
  const torques = points.map((point) => point.brakeTorqueNm);
  const range = Math.max(...torques) - Math.min(...torques);
  if (range < 5) {
    const tensionN = mean(points.map((point) => point.tensionN - slopePerNm * point.brakeTorqueNm));
    return { tensionN, spread };
  }
  const line = lineThrough(
    torques,
    points.map((point) => point.tensionN),
  );
  return { tensionN: line.at0, slopePerNm: line.slope, spread };
}

/** Without a wheel: squared pitch runs with tension, so it is drawn straight through the torques plucked. */
function fromPlucks(plucks: readonly PluckedPitch[]): SoundingSpoke[] {
  const bySpoke = new Map<number, PluckedPitch[]>();
  for (const pluck of plucks)
    bySpoke.set(pluck.spoke, [...(bySpoke.get(pluck.spoke) ?? []), pluck]);
  const lines = [...bySpoke].map(([spoke, own]) => {
    const torques = own.map((pluck) => pluck.brakeTorqueNm);
    const range = Math.max(...torques) - Math.min(...torques);
    const squares = own.map((pluck) => pluck.hz ** 2);
    const line = range < 5 ? null : lineThrough(torques, squares);
    return { spoke, own, line, mean: mean(squares) };
  });
  const largest = Math.max(0, ...lines.map(({ line }) => Math.abs(line?.slope ?? 0)));
  return lines.flatMap(({ spoke, own, line, mean: square }): SoundingSpoke[] => {
    const spread = Math.max(0.006, ...own.map((pluck) => pluck.spread));
    if (line !== null) {
      const slope = Math.abs(line.slope) < smallShare * largest ? 0 : line.slope;
      const does = underBraking(slope, largest);
      return [
        pluckedSpoke(spoke, { at0: line.at0, slope: line.slope, spread, slopeSpread: 0.05 }, does),
      ];
    }
    const change = usualChangePerNm * square;
    return (['loses', 'gains'] as const).map((does) => {
      const slope = does === 'gains' ? change : -change;
      return pluckedSpoke(spoke, { at0: square, slope, spread, slopeSpread: 0.6 }, does);
    });
  });
}

/**
 * Plucked without torque and without a wheel sheet, a spoke may do either: then tension changes by half a
 * percent for a newton metre, as in common crossed disc wheels (from memory), give or take 60 %.
 */
const usualChangePerNm = 0.005;

function pluckedSpoke(
  spoke: number,
  line: { at0: number; slope: number; spread: number; slopeSpread: number },
  does: SoundingSpoke['underBraking'],
): SoundingSpoke {
  return {
    spoke,
    side: null,
    role: null,
    underBraking: does,
    discSide: null,
    plane: 'both',
    basis: 'plucks',
    hzAt: (torqueNm, mode = 1) => {
      const square = line.at0 + line.slope * torqueNm;
      return square > 0 ? mode * Math.sqrt(square) : null;
    },
    tensionAt: null,
    spread: line.spread,
    slopeSpread: line.slopeSpread,
  };
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

function lineThrough(x: readonly number[], y: readonly number[]): { at0: number; slope: number } {
  const [mx, my] = [mean(x), mean(y)];
  const sxx = x.reduce((sum, value) => sum + (value - mx) ** 2, 0);
  const sxy = x.reduce((sum, value, i) => sum + (value - mx) * (y[i] - my), 0);
  return { at0: my - (sxy / sxx) * mx, slope: sxy / sxx };
}

/** Curves for drawing and for the finding. */
export function curveOf(one: SoundingSpoke): SpokeCurve {
  const points = curveTorquesNm
    .map((torqueNm) => ({ torqueNm, hz: one.hzAt(torqueNm) }))
    .filter((point): point is { torqueNm: number; hz: number } => point.hz !== null);
  const torqueNm = points.map((point) => point.torqueNm);
  return {
    spoke: one.spoke,
    side: one.side,
    role: one.role,
    underBraking: one.underBraking,
    discSide: one.discSide,
    plane: one.plane,
    torqueNm,
    hz: points.map((point) => point.hz),
    tensionN: one.tensionAt === null ? null : torqueNm.map(one.tensionAt),
    basis: one.basis,
  };
}

/** Which spokes belong to which cause. Where the disc's side is not said, either side may be meant. */
export function groupOf(one: SoundingSpoke): CauseId {
  if (one.discSide === false || one.underBraking === 'unchanged') return 'spokes-other';
  return one.underBraking === 'loses' ? 'spokes-losing-disc-side' : 'spokes-gaining-disc-side';
}
