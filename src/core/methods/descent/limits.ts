/**
 * What a brake stands, and the verdict. Each limit is one temperature, with where it comes from beside it;
 * the band of the descent is laid against it.
 */
import type { DescentBrake, BrakePosition } from '../../evidence/index.ts';
import { aluminiumMeltingC, aluminiumSolidusC } from '../../physics/index.ts';
import type { Interval } from '../../units/index.ts';

export type DescentVerdict = 'within' | 'marginal' | 'beyond';

/** What is to stay below a temperature. */
export interface Limit {
  brake: BrakePosition;
  /** Where the temperature is taken. */
  at: 'track' | 'caliper';
  what: string;
  limitC: number;
  source: string;
  /** A caution alone can make a descent marginal, not beyond. */
  cautionOnly: boolean;
}

export interface JudgedLimit extends Limit {
  peakC: number;
  peakCi95: Interval;
  verdict: DescentVerdict;
}

const practice = 'common practice, no source';

/** Lowest boiling point of the fluid once it has taken up water, °C. */
const fluids = {
  dot4: {
    name: 'DOT 4 fluid with water in it',
    limitC: 155,
    source: 'FMVSS 116, wet boiling point',
  },
  dot51: {
    name: 'DOT 5.1 fluid with water in it',
    limitC: 180,
    source: 'FMVSS 116, wet boiling point, from memory',
  },
  mineral: {
    name: 'water that got into the mineral oil',
    limitC: 100,
    source: 'mineral oil has no standard; water in it boils at 100 °C',
  },
};

/** All that is asked of one brake. */
export function limitsOf(
  position: BrakePosition,
  { pads, build }: DescentBrake,
  fluid: keyof typeof fluids,
): Limit[] {
  const at = (what: string, limitC: number, source: string): Limit => ({
    brake: position,
    at: 'track',
    what,
    limitC,
    source,
    cautionOnly: false,
  });
  const boiling = fluids[fluid];
  return [
    pads === 'resin' ? at('resin pads fade', 300, practice) : at('metal pads fade', 400, practice),
    ...(build === 'layered'
      ? [
          at(
            'aluminium core goes soft',
            350,
            'EN 1999-1-2: about a tenth of the strength is left at 350 °C, from memory',
          ),
          at(
            'aluminium core begins to melt',
            aluminiumSolidusC,
            `solidus of EN AW-6061, from memory; pure aluminium ${aluminiumMeltingC.toFixed(0)} °C (ITS-90)`,
          ),
        ]
      : [at('steel loses its hardness and warps', 600, practice)]),
    {
      brake: position,
      at: 'caliper',
      what: `${boiling.name} boils`,
      limitC: boiling.limitC,
      source: boiling.source,
      cautionOnly: true,
    },
  ];
}

/** Least temperature of the track at which something is lost, °C. */
export function leastLimit(...of: Parameters<typeof limitsOf>): number {
  return Math.min(...limitsOf(...of).flatMap((one) => (one.at === 'track' ? [one.limitC] : [])));
}

/**
 * Within: the whole band lies below. Beyond: the limit is more likely passed than not. Marginal: between.
 */
export function judge(limit: Limit, peakC: number, peakCi95: Interval): JudgedLimit {
  const verdict: DescentVerdict =
    peakCi95[1] < limit.limitC
      ? 'within'
      : peakC < limit.limitC || limit.cautionOnly
        ? 'marginal'
        : 'beyond';
  return { ...limit, peakC, peakCi95, verdict };
}

const order: DescentVerdict[] = ['within', 'marginal', 'beyond'];

/** The worst of some verdicts. */
export function worst(verdicts: readonly DescentVerdict[]): DescentVerdict {
  return order[Math.max(0, ...verdicts.map((one) => order.indexOf(one)))];
}
