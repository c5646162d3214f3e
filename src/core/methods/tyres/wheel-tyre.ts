/** One wheel: its load, its limits, the range between them, and what pressures in it do. */
import type { PressureAim, RoadSurface, TyreOnRim } from '../../evidence/index.ts';
import { propagateUncertainty } from '../../statistics/index.ts';
import { paToBar, paToPsi, standardGravityMps2, type Interval } from '../../units/index.ts';
import { fitRules, fitVerdict } from './fit.ts';
import { limitsOf } from './limits.ts';
import {
  contactPatch,
  dropUnderLoadM,
  loadsToRim,
  pressureForDropPa,
  rollingFactorOnSmooth,
  stiffnessAtDropNPerM,
  type TyreShape,
} from './model.ts';
import type { AtPressure, WheelTyre } from './result.ts';

/**
 * Share of the tyre's width by which the wheel may sink. Common practice, no source: a sixth or so, more
 * the rougher it is; wide enough for the pairs that the trade rides on rough lanes.
 */
const dropBand: Record<RoadSurface, Interval> = {
  smooth: [0.12, 0.19],
  worn: [0.13, 0.21],
  rough: [0.14, 0.23],
  gravel: [0.15, 0.25],
};

/** Which part of that band, from the least drop (0) to the most (1). */
const partOfBand: Record<PressureAim, Interval> = {
  speed: [0, 0.6],
  balance: [0, 1],
  comfort: [0.4, 1],
};

/** Relative standard uncertainty of the model's pressure for a drop: assumed, no source. */
const modelUncertainty = 0.1;

/** Standard uncertainty of a width, m: a caliper round the tyre, or the designation alone (assumed, no source). */
const widthUncertaintyM = { measured: 0.0003, designation: 0.001 };

/** Height of the rim's flanges above the bead seat (ISO 5775-2, from memory) and a tyre's thickness (assumed). */
const rimRoom = { flangeM: 0.006, wallM: 0.002 };

/** The load on one wheel. */
export interface WheelLoad {
  massKg: number;
  massStandardUncertaintyKg: number;
  /** Of the system's weight, on this wheel. */
  share: number;
  shareStandardUncertainty: number;
}

/** Everything about one wheel's tyre but what is said of both. */
export function wheelTyre(
  wheel: TyreOnRim,
  load: WheelLoad,
  wish: { surface: RoadSurface; aim: PressureAim },
): WheelTyre {
  const widthFrom = wheel.measuredWidthM === null ? 'designation' : 'measured';
  const widthM = wheel.measuredWidthM ?? wheel.designatedWidthM;
  const limits = limitsOf(wheel);
  const limitPa = limits[0].pressurePa;
  const rules = fitRules(wheel.designatedWidthM, wheel.rimInnerWidthM);
  const verdict = fitVerdict(rules);
  const bench = uncertain(wheel, load, widthM, widthUncertaintyM[widthFrom]);
  const band = bandOf(wish);
  const lowest = bench.pressureFor(band[1]);
  const highest = bench.pressureFor(band[0]);
  const withheld = whyWithheld(wheel, verdict, lowest.value, limitPa, bench.dropAt(limitPa).value);
  // The maker's minimum lifts the range; the hard limit has the last word.
  const floorPa = wheel.tyreMinimumPa ?? 0;
  const cut = (pa: number): number => Math.min(Math.max(pa, floorPa), limitPa);
  const range: Interval = [cut(lowest.value), cut(highest.value)];
  const cutCi = ({ ci95 }: Estimate): Interval => [paToBar(cut(ci95[0])), paToBar(cut(ci95[1]))];
  const loadN = load.massKg * load.share * standardGravityMps2;
  return {
    loadN,
    loadNCi95: bench.load.ci95,
    widthMm: 1000 * widthM,
    widthFrom,
    hardLimitBar: paToBar(limitPa),
    hardLimitPsi: paToPsi(limitPa),
    limitedBy: limits[0].of,
    limits: limits.map(({ of, pressurePa }) => ({
      of,
      bar: paToBar(pressurePa),
      psi: paToPsi(pressurePa),
    })),
    dropBandPercent: [100 * band[0], 100 * band[1]],
    recommendedBar: withheld === null ? [paToBar(range[0]), paToBar(range[1])] : null,
    recommendedPsi: withheld === null ? [paToPsi(range[0]), paToPsi(range[1])] : null,
    lowBarCi95: withheld === null ? cutCi(lowest) : null,
    highBarCi95: withheld === null ? cutCi(highest) : null,
    cutByLimit: highest.value > limitPa,
    withheld,
    pressures: withheld === null ? tableOf(wheel, bench, range, wish.surface, loadN) : [],
    fit: {
      designatedWidthMm: 1000 * wheel.designatedWidthM,
      rimInnerWidthMm: 1000 * wheel.rimInnerWidthM,
      verdict,
      rules,
    },
    rimToTyrePercent: wheel.rimOuterWidthM === null ? null : (100 * wheel.rimOuterWidthM) / widthM,
  };
}

function bandOf({ surface, aim }: { surface: RoadSurface; aim: PressureAim }): Interval {
  const [least, most] = dropBand[surface];
  const [from, to] = partOfBand[aim];
  return [least + from * (most - least), least + to * (most - least)];
}

function whyWithheld(
  wheel: TyreOnRim,
  verdict: string,
  lowestPa: number,
  limitPa: number,
  dropAtLimitM: number,
): string | null {
  if (wheel.hookless && verdict === 'outside') {
    return 'The tyre and this straight-sided rim do not go together by the rules at hand: no pressure makes up for that.';
  }
  if (wheel.tyreMinimumPa !== null && wheel.tyreMinimumPa > limitPa) {
    return 'The tyre’s own minimum lies above the hard limit of this wheel: no pressure keeps to both.';
  }
  if (lowestPa > limitPa) {
    const percent = (100 * dropAtLimitM) / (wheel.measuredWidthM ?? wheel.designatedWidthM);
    return `Even at the hard limit the wheel would sink by ${Number.isFinite(percent) ? `${percent.toFixed(0)} % of the tyre’s width` : 'all there is'}, more than the band allows: the load wants a wider tyre.`;
  }
  return null;
}

interface Estimate {
  value: number;
  ci95: Interval;
}

/** The model with load, width and its own error uncertain. */
function uncertain(wheel: TyreOnRim, load: WheelLoad, widthM: number, widthUncertainty: number) {
  const shapeOf = (width: number): TyreShape => ({
    widthM: width,
    beadWidthM: wheel.rimInnerWidthM,
    outerRadiusM: wheel.beadSeatDiameterM / 2 + width,
  });
  const inputs = [
    {
      name: 'mass',
      value: load.massKg,
      standardUncertainty: load.massStandardUncertaintyKg,
    },
    { name: 'share', value: load.share, standardUncertainty: load.shareStandardUncertainty },
    { name: 'width', value: widthM, standardUncertainty: widthUncertainty },
    { name: 'model', value: 1, standardUncertainty: modelUncertainty },
  ];
  type Values = (loadN: number, shape: TyreShape, model: number) => number;
  /** On the logarithm: all of these are positive, and their errors are shares. */
  const estimate = (of: Values): Estimate => {
    const { value, standardUncertainty } = propagateUncertainty({
      model: ([mass, share, width, model]) =>
        Math.log(of(mass * share * standardGravityMps2, shapeOf(width), model)),
      inputs,
    });
    const half = 1.959964 * standardUncertainty;
    return { value: Math.exp(value), ci95: [Math.exp(value - half), Math.exp(value + half)] };
  };
  return {
    shape: shapeOf(widthM),
    load: estimate((loadN) => loadN),
    /** Pressure at which the wheel sinks by a share of the width. */
    pressureFor: (share: number) =>
      estimate(
        (loadN, shape, model) => model * pressureForDropPa(shape, loadN, share * shape.widthM),
      ),
    // A carcass that carries a share more at a given drop carries its load as at that much more pressure.
    dropAt: (pa: number) =>
      estimate((loadN, shape, model) => dropUnderLoadM(shape, pa / model, loadN)),
    stiffnessAt: (pa: number) =>
      estimate((loadN, shape, model) =>
        stiffnessAtDropNPerM(shape, pa / model, dropUnderLoadM(shape, pa / model, loadN)),
      ),
  };
}

function tableOf(
  wheel: TyreOnRim,
  bench: ReturnType<typeof uncertain>,
  [low, high]: Interval,
  surface: RoadSurface,
  loadN: number,
): AtPressure[] {
  const middle = (low + high) / 2;
  const stiffnessMiddle = bench.stiffnessAt(middle).value;
  const row = (at: AtPressure['at'], pa: number): AtPressure => {
    const drop = bench.dropAt(pa);
    const stiffness = bench.stiffnessAt(pa);
    const patch = contactPatch(bench.shape, drop.value);
    const factor = rollingFactorOnSmooth(pa, middle);
    return {
      at,
      bar: paToBar(pa),
      psi: paToPsi(pa),
      dropMm: 1000 * drop.value,
      dropMmCi95: [1000 * drop.ci95[0], 1000 * drop.ci95[1]],
      dropPercent: (100 * drop.value) / bench.shape.widthM,
      stiffnessNPerMm: stiffness.value / 1000,
      stiffnessNPerMmCi95: [stiffness.ci95[0] / 1000, stiffness.ci95[1] / 1000],
      stiffnessChangePercent: 100 * (stiffness.value / stiffnessMiddle - 1),
      patch: {
        lengthMm: 1000 * patch.lengthM,
        widthMm: 1000 * patch.widthM,
        areaMm2: 1e6 * patch.areaM2,
      },
      loadsToRim: loadsToRim(bench.shape, pa, loadN, rimRoom),
      crrChangePercent:
        surface === 'smooth' ? [100 * (factor[0] - 1), 100 * (factor[1] - 1)] : null,
    };
  };
  const now = wheel.pressurePa;
  return [
    row('low', low),
    row('middle', middle),
    row('high', high),
    // So low a pressure that the model's tyre lies on its rim, or nearly, has no row; the estimate warns of it.
    ...(now !== null && loadsToRim(bench.shape, now, loadN, rimRoom) > 1.5
      ? [row('now', now)]
      : []),
  ];
}
