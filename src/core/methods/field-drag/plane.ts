import { degToRad, radToDeg } from '../../units/index.ts';

/** Origin of the flat map of a test day: a few kilometres of road bend by less than a position errs. */
export interface Origin {
  latDeg: number;
  lonDeg: number;
}

/** Mean radius of the earth, m (IUGG). */
const earthRadiusM = 6371008.8;

export const northOf = (origin: Origin, latDeg: number): number =>
  degToRad(latDeg - origin.latDeg) * earthRadiusM;

/** Metres east of the origin, the short way round. */
export function eastOf(origin: Origin, lonDeg: number): number {
  const turn = ((((lonDeg - origin.lonDeg) % 360) + 540) % 360) - 180;
  return degToRad(turn) * earthRadiusM * Math.cos(degToRad(origin.latDeg));
}

export const latitudeOf = (origin: Origin, northM: number): number =>
  origin.latDeg + radToDeg(northM / earthRadiusM);

export const longitudeOf = (origin: Origin, eastM: number): number =>
  origin.lonDeg + radToDeg(eastM / (earthRadiusM * Math.cos(degToRad(origin.latDeg))));
