import { randomStream } from '../random.ts';
import { wireHz } from './spoke-pitch.ts';
import type { Wire } from './spoke-pitch.ts';

/**
 * An invented wheel with mechanics of its own, simple enough to be written on one page: a rigid rim and
 * a rigid hub joined by springs.
 *
 * Brake torque M on the hub turns it back against the rim by φ. A spoke whose line passes the axle at the
 * distance a, at the bracing angle γ, is stretched or let go by a·cos γ·φ, so with k = EA/L
 *
 *     φ = M / Σ k(a·cos γ)²,   ΔT = ± k·a·cos γ·φ
 *
 * (equilibrium of moments about the axle; sideways and radially the two directions of lacing cancel). Where
 * the road pushes on the rim with a force, the rim also moves across the axle and each spoke feels it once a turn.
 */

export type WheelSide = 'left' | 'right';

export interface SideOfWheel {
  count: number;
  cross: number;
  flangeRadiusM: number;
  flangeOffsetM: number;
  /** Round: diameterM. Bladed: widthM and thicknessM of a rectangle. */
  section: { diameterM: number } | { widthM: number; thicknessM: number };
  youngPa: number;
  densityKgM3: number;
  meanTensionN: number;
}

/** One spoke, numbered from 1 round the rim in the direction of rotation. */
export interface SimulatedSpoke {
  spoke: number;
  side: WheelSide;
  discSide: boolean;
  underBraking: 'loses' | 'gains' | 'unchanged';
  /** Angle of its nipple, from spoke 1. */
  angleRad: number;
  lengthM: number;
  tensionN: number;
  /** Change of tension for each Nm of brake torque on the hub. */
  tensionPerNm: number;
  /** Change of tension for each N on the rim pointing from the axle to this spoke's nipple (rigid rim). */
  tensionPerPushN: number;
  /** Bending out of the wheel's plane first, then in it; alike for a round spoke. A blade lies in the wheel's plane. */
  wires: { plane: 'both' | 'flatwise' | 'edgewise'; wire: Wire }[];
}

export interface SimulatedWheel {
  name: string;
  discSide: WheelSide;
  seatRadiusM: number;
  tyreRadiusM: number;
  rotorSlots: number;
  sides: Record<WheelSide, SideOfWheel>;
  /** How far the ends of all spokes are clamped: 0 pinned, 1 clamped. */
  endFixity: number;
  spokes: SimulatedSpoke[];
  /** What the tester writes on the sheet instead of the truth: factors on the truth. */
  stated: { youngFactor: number; tensionFactor: number };
}

export interface WheelInput {
  name?: string;
  discSide?: WheelSide;
  seatRadiusM?: number;
  tyreRadiusM?: number;
  rotorSlots?: number;
  /** Of both sides together. */
  count?: number;
  cross?: number;
  flangeRadiusM?: number;
  discFlangeOffsetM?: number;
  otherFlangeOffsetM?: number;
  section?: SideOfWheel['section'];
  /** Of the disc side; the other side follows from balance along the axle. */
  meanTensionN?: number;
  /** Standard deviation of the spokes' tensions, relative. */
  tensionScatter?: number;
  endFixity?: number;
  youngPa?: number;
  stated?: Partial<SimulatedWheel['stated']>;
}

/** Lever of a spoke's line about the axle, its bracing angle and its length. */
function lacing(
  side: Pick<SideOfWheel, 'count' | 'cross' | 'flangeRadiusM' | 'flangeOffsetM'>,
  seatM: number,
) {
  const turn = (2 * Math.PI * side.cross) / side.count;
  const flatM = Math.sqrt(
    seatM ** 2 + side.flangeRadiusM ** 2 - 2 * seatM * side.flangeRadiusM * Math.cos(turn),
  );
  const lengthM = Math.hypot(flatM, side.flangeOffsetM);
  return {
    leverM: (seatM * side.flangeRadiusM * Math.sin(turn)) / flatM,
    // Sine of the angle between spoke and radius, in the wheel's plane, is lever over seat radius.
    alongRadius:
      Math.sqrt(1 - ((side.flangeRadiusM * Math.sin(turn)) / flatM) ** 2) * (flatM / lengthM),
    cosBracing: flatM / lengthM,
    sinBracing: side.flangeOffsetM / lengthM,
    lengthM,
  };
}

function areaOf(section: SideOfWheel['section']): number {
  return 'diameterM' in section
    ? (Math.PI * section.diameterM ** 2) / 4
    : section.widthM * section.thicknessM;
}

function wiresOf(side: SideOfWheel, lengthM: number): SimulatedSpoke['wires'] {
  const { section, youngPa, densityKgM3 } = side;
  const base = { lengthM, areaM2: areaOf(section), youngPa, densityKgM3 };
  if ('diameterM' in section) {
    const secondMomentM4 = (Math.PI * section.diameterM ** 4) / 64;
    return [{ plane: 'both', wire: { ...base, secondMomentM4 } }];
  }
  const { widthM, thicknessM } = section;
  return [
    { plane: 'flatwise', wire: { ...base, secondMomentM4: (widthM * thicknessM ** 3) / 12 } },
    { plane: 'edgewise', wire: { ...base, secondMomentM4: (thicknessM * widthM ** 3) / 12 } },
  ];
}

/**
 * An invented wheel, equal spoke counts left and right, alternating round the rim, crossed. Each side's
 * spokes are turned by turns: the first one's flange hole lies ahead of its nipple, so braking lets it go.
 * The seed decides the scatter of tensions alone.
 */
export function simulateWheel(input: WheelInput = {}, seed = 1): SimulatedWheel {
  const {
    name = 'Invented front wheel',
    discSide = 'left',
    seatRadiusM = 0.292,
    tyreRadiusM = 0.338,
    rotorSlots = 36,
    count = 28,
    cross = 2,
    flangeRadiusM = 0.026,
    discFlangeOffsetM = 0.0245,
    otherFlangeOffsetM = 0.034,
    section = { diameterM: 0.002 },
    meanTensionN = 1050,
    tensionScatter = 0.05,
    endFixity = 0.9,
    youngPa = 200e9,
    stated = {},
  } = input;
  if (count % 4 !== 0 || count < 12) throw new RangeError('a wheel here has 12, 16, 20 … spokes');
  const shared = { count: count / 2, cross, flangeRadiusM, section, youngPa, densityKgM3: 7900 };
  const other: WheelSide = discSide === 'left' ? 'right' : 'left';
  const disc = { ...shared, flangeOffsetM: discFlangeOffsetM, meanTensionN };
  const far = { ...shared, flangeOffsetM: otherFlangeOffsetM, meanTensionN: 0 };
  const laced = {
    [discSide]: lacing(disc, seatRadiusM),
    [other]: lacing(far, seatRadiusM),
  } as Record<WheelSide, ReturnType<typeof lacing>>;
  far.meanTensionN = (meanTensionN * laced[discSide].sinBracing) / laced[other].sinBracing;
  const sides = { [discSide]: disc, [other]: far } as Record<WheelSide, SideOfWheel>;

  const random = randomStream(seed, 'spoke tensions');
  const stiffness = (side: WheelSide): number => (youngPa * areaOf(section)) / laced[side].lengthM;
  let turnStiffness = 0;
  let pushStiffness = 0;
  for (const side of ['left', 'right'] as const) {
    const { leverM, cosBracing, alongRadius } = laced[side];
    turnStiffness += (count / 2) * stiffness(side) * (leverM * cosBracing) ** 2;
    // In any direction across the axle, half of what the spokes resist along their radius …
    pushStiffness += (count / 4) * stiffness(side) * alongRadius ** 2;
    // … and half of what they resist along the rim.
    pushStiffness += (count / 4) * stiffness(side) * ((leverM * cosBracing) / seatRadiusM) ** 2;
  }
  const spokes = Array.from({ length: count }, (_, i): SimulatedSpoke => {
    const side: WheelSide = i % 2 === 0 ? 'left' : 'right';
    const loses = Math.floor(i / 2) % 2 === 0;
    const { leverM, cosBracing, alongRadius, lengthM } = laced[side];
    const perNm = (stiffness(side) * leverM * cosBracing) / turnStiffness;
    return {
      spoke: i + 1,
      side,
      discSide: side === discSide,
      underBraking: perNm === 0 ? 'unchanged' : loses ? 'loses' : 'gains',
      angleRad: (2 * Math.PI * i) / count,
      lengthM,
      tensionN: sides[side].meanTensionN * (1 + tensionScatter * random.normal()),
      tensionPerNm: loses ? -perNm : perNm,
      tensionPerPushN: (stiffness(side) * alongRadius) / pushStiffness,
      wires: wiresOf(sides[side], lengthM),
    };
  });
  // The scatter must not move the side's mean: that is a separate error, in `stated`.
  for (const side of ['left', 'right'] as const) {
    const own = spokes.filter((spoke) => spoke.side === side);
    const mean = own.reduce((sum, { tensionN }) => sum + tensionN, 0) / own.length;
    for (const spoke of own) spoke.tensionN *= sides[side].meanTensionN / mean;
  }
  return {
    name,
    discSide,
    seatRadiusM,
    tyreRadiusM,
    rotorSlots,
    sides,
    endFixity,
    spokes,
    stated: { youngFactor: 1, tensionFactor: 1, ...stated },
  };
}

/** Tension of a spoke under brake torque, N; never below zero. */
export function tensionUnder(spoke: SimulatedSpoke, brakeTorqueNm: number): number {
  return Math.max(0, spoke.tensionN + spoke.tensionPerNm * brakeTorqueNm);
}

/** True frequency of a spoke at a tension, Hz. `plane` is the position in `wires`. */
export function spokeHz(
  wheel: SimulatedWheel,
  spoke: SimulatedSpoke,
  tensionN: number,
  plane = 0,
  mode = 1,
): number {
  return wireHz(spoke.wires[plane].wire, tensionN, mode, wheel.endFixity);
}
