/**
 * Positions as metres on a flat sheet around their middle: good to a millimetre in a metre over the few
 * kilometres of a test road, which is far finer than a drawing of it.
 */
export interface GroundPoint {
  eastM: number;
  northM: number;
}

const earthRadiusM = 6371008.8; // mean radius, IUGG

/** Equirectangular projection about the first finite position. Points without a position are null. */
export function toGround(
  latDeg: readonly (number | null)[],
  lonDeg: readonly (number | null)[],
): (GroundPoint | null)[] {
  const start = latDeg.findIndex((lat, i) => isPosition(lat, lonDeg[i]));
  if (start < 0) return latDeg.map(() => null);
  const lat0 = latDeg[start] as number;
  const lon0 = lonDeg[start] as number;
  return latDeg.map((lat, i) =>
    isPosition(lat, lonDeg[i]) ? groundPoint(lat as number, lonDeg[i] as number, lat0, lon0) : null,
  );
}

/** One position in metres east and north of another. */
export function groundPoint(lat: number, lon: number, lat0: number, lon0: number): GroundPoint {
  const rad = Math.PI / 180;
  return {
    eastM: earthRadiusM * Math.cos(lat0 * rad) * (lon - lon0) * rad,
    northM: earthRadiusM * (lat - lat0) * rad,
  };
}

function isPosition(lat: number | null | undefined, lon: number | null | undefined): boolean {
  return Number.isFinite(lat) && Number.isFinite(lon) && lat !== null && lon !== null;
}
