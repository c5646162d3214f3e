/** Invented rides over known roads, for the tests of courses. */
import type { Recording } from '../../../src/core/evidence/index.ts';

/** Numbers that look random and are the same every time. */
export function noise(seed: number): { uniform: () => number; normal: () => number } {
  let state = seed;
  const uniform = (): number => ((state = (state * 16807) % 2147483647), state / 2147483647);
  const normal = (): number =>
    Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
  return { uniform, normal };
}

/** A road's height and slope at a distance along the map, m. */
export interface TrueRoad {
  height: (x: number) => number;
  slope: (x: number) => number;
}

/** Waves of 350 m to 5 km: a road that is not what the smoothing assumes. */
export function wavyRoad(seed: number): TrueRoad {
  const { uniform } = noise(seed);
  const waves = Array.from({ length: 7 }, () => {
    const length = 350 * (5000 / 350) ** uniform();
    return { k: (2 * Math.PI) / length, slope: 0.025 * uniform(), phase: 6.28 * uniform() };
  });
  const sum = (of: (wave: (typeof waves)[number]) => number): number =>
    waves.reduce((total, wave) => total + of(wave), 0);
  return {
    height: (x) => 200 + sum((w) => (w.slope / w.k) * Math.sin(w.k * x + w.phase)),
    slope: (x) => sum((w) => w.slope * Math.cos(w.k * x + w.phase)),
  };
}

export interface Ride {
  file: string;
  timeS: number[];
  /** Along a parallel at 10° north; positions follow. */
  eastM: number[];
  northM: number[];
  altitudeM: number[];
  distanceM?: number[];
}

const earthRadiusM = 6371008.8;

export function recordingOf({ file, timeS, eastM, northM, altitudeM, distanceM }: Ride): Recording {
  const degree = Math.PI / 180;
  return {
    file,
    format: 'gpx',
    timeS: Float64Array.from(timeS),
    startEpochS: null,
    channels: {
      latDeg: Float64Array.from(northM, (north) => 10 + north / earthRadiusM / degree),
      lonDeg: Float64Array.from(
        eastM,
        (east) => 20 + east / (earthRadiusM * Math.cos(10 * degree)) / degree,
      ),
      ...(altitudeM.length > 0 ? { altitudeM: Float64Array.from(altitudeM) } : {}),
      ...(distanceM ? { distanceM: Float64Array.from(distanceM) } : {}),
    },
    lapMarksS: new Float64Array(),
    pauses: [],
    warnings: [],
  };
}

/** A straight ride east at 8 m/s, one point a second. */
export function straightRide(
  lengthM: number,
  height: (x: number, i: number) => number,
  stepM = 8,
): Ride {
  const n = Math.floor(lengthM / stepM) + 1;
  const eastM = Array.from({ length: n }, (_, i) => i * stepM);
  return {
    file: 'ride.gpx',
    timeS: eastM.map((_, i) => i),
    eastM,
    northM: eastM.map(() => 0),
    altitudeM: eastM.map(height),
  };
}
