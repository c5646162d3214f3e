/** Invented bench evidence with plain numbers, for pictures: no method made them. */
import type {
  LoadDeflectionData,
  LoadKind,
  RimStripData,
  SpokeChangesData,
  WheelDrawing,
} from '../../src/figures/index.ts';

const loads = [0, 15, 30, 79, 128, 177, 226];

/** Two remounts with 0.4 mm of slop and 45 N/mm, and a third whose dial was knocked. */
export function sampleCurve(): LoadDeflectionData {
  const series = [0, 0.03, 0.6].map((shift, k) => {
    const load = loads.map((loadN) => ({
      direction: 'load' as const,
      loadN,
      deflectionMm: shift + Math.min(0.4, loadN * 0.02) + loadN / 45,
    }));
    const unload = loads.toReversed().map((loadN) => ({
      direction: 'unload' as const,
      loadN,
      deflectionMm: shift + Math.min(0.44, 0.1 + loadN * 0.02) + loadN / 45 + 0.06,
    }));
    return {
      readings: [...load, ...unload],
      line: { interceptMm: shift + 0.4, slopeMmPerN: 1 / 45 },
      used: k < 2,
    };
  });
  return { series, preloadN: 30, loadN: 196.1, slopMm: 0.42 };
}

/** 24 spokes, left 900 N and right 1100 N, with one much too tight and one much too loose. */
export function sampleStrip(): RimStripData {
  const spokes = Array.from({ length: 24 }, (_, i) => {
    const side = i % 2 === 0 ? ('left' as const) : ('right' as const);
    const deviationPercent = i === 6 ? 31 : i === 17 ? -24 : Math.round(9 * Math.sin(i * 2.3));
    const meanN = side === 'left' ? 900 : 1100;
    return {
      spoke: i + 1,
      side,
      tensionN: meanN * (1 + deviationPercent / 100),
      deviationPercent,
      insideTolerance: Math.abs(deviationPercent) <= 20,
      plannedN: i === 6 || i === 17 ? meanN * 1.02 : null,
    };
  });
  const sides = [
    { side: 'left' as const, meanN: 900 },
    { side: 'right' as const, meanN: 1100 },
  ];
  const runs = [
    { side: 'left' as const, spokes: [5, 7, 9], kind: 'tight' as const, deviationPercent: 14 },
    { side: 'right' as const, spokes: [22, 24, 2], kind: 'loose' as const, deviationPercent: -6 },
  ];
  return { spokes, sides, runs, tolerancePercent: 20, maximumN: 1250 };
}

/** A wheel of 20 radial spokes whose rim gives way like a bell about the load. */
export function sampleWheel(kind: LoadKind): WheelDrawing {
  const positionDeg = 54;
  const bell = (angleDeg: number): number => {
    const away = Math.abs(((angleDeg - positionDeg + 540) % 360) - 180);
    return Math.exp(-((away / 40) ** 2));
  };
  const anglesDeg = Array.from({ length: 60 }, (_, k) => k * 6);
  const sideways = kind === 'sideways';
  return {
    rimRadiusM: 0.296,
    spokes: Array.from({ length: 20 }, (_, i) => {
      const side = i % 2 === 0 ? ('left' as const) : ('right' as const);
      const angleDeg = i * 18;
      const pull = (sideways ? (side === 'left' ? -90 : 90) : -160) * bell(angleDeg);
      return {
        spoke: i + 1,
        side,
        rim: { leftM: 0, radiusM: 0.29, angleDeg },
        hub: { leftM: side === 'left' ? 0.034 : -0.034, radiusM: 0.019, angleDeg },
        tensionN: 900,
        changeN: pull + (sideways ? 0 : 12),
      };
    }),
    anglesDeg,
    leftM: anglesDeg.map((a) => (sideways ? 0.0042 * bell(a) : 0)),
    outwardM: anglesDeg.map((a) => (kind === 'inwards' ? -0.0004 * bell(a) + 0.00003 : 0)),
    forwardM: anglesDeg.map((a) => (kind === 'forwards' ? 0.0002 + 0.0002 * bell(a) : 0)),
    load: { kind, positionDeg, newtons: 200 },
    exaggeration: sideways ? 20 : 200,
    reachN: 160,
  };
}

export function sampleChanges(): SpokeChangesData {
  return {
    changes: sampleWheel('inwards').spokes.map(({ spoke, side, changeN }) => ({
      spoke,
      side,
      changeN: changeN * 8,
      tensionN: 900,
    })),
    load: '1600 N towards the axle at 54°',
    reachN: 1200,
  };
}
