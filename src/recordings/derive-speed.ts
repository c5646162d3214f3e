/** Mean radius of the Earth, m (IUGG 1980). */
const earthRadiusM = 6_371_008.8;
const radPerDeg = Math.PI / 180;

/** Great-circle distance, m, by the haversine formula; angles in degrees. */
export function greatCircleM(lat1: number, lon1: number, lat2: number, lon2: number): number {
  const sinLat = Math.sin(((lat2 - lat1) * radPerDeg) / 2);
  const sinLon = Math.sin(((lon2 - lon1) * radPerDeg) / 2);
  const h =
    sinLat * sinLat + Math.cos(lat1 * radPerDeg) * Math.cos(lat2 * radPerDeg) * sinLon * sinLon;
  return 2 * earthRadiusM * Math.asin(Math.min(1, Math.sqrt(h)));
}

/** Path length from the first position on, m; NaN where a position is missing. */
export function pathLengthM(latDeg: Float64Array, lonDeg: Float64Array): Float64Array {
  const path = new Float64Array(latDeg.length).fill(NaN);
  let total = 0;
  let last = -1;
  for (let i = 0; i < latDeg.length; i += 1) {
    if (Number.isNaN(latDeg[i]) || Number.isNaN(lonDeg[i])) continue;
    if (last >= 0) total += greatCircleM(latDeg[last], lonDeg[last], latDeg[i], lonDeg[i]);
    path[i] = total;
    last = i;
  }
  return path;
}

/**
 * Speed from distance covered, m/s: central difference over the neighbours, one-sided at the ends and
 * beside a missing value. Steps longer than `maxStepS` give none, nor does a distance that goes back.
 */
export function speedFromDistance(
  timeS: Float64Array,
  distanceM: Float64Array,
  maxStepS = 15,
): Float64Array {
  const n = timeS.length;
  const speed = new Float64Array(n).fill(NaN);
  const usable = (i: number, j: number): boolean =>
    i >= 0 && j < n && timeS[j] - timeS[i] <= maxStepS && distanceM[j] >= distanceM[i];
  for (let i = 0; i < n; i += 1) {
    if (Number.isNaN(distanceM[i])) continue;
    const from = usable(i - 1, i) ? i - 1 : i;
    const to = usable(i, i + 1) ? i + 1 : i;
    if (to > from) speed[i] = (distanceM[to] - distanceM[from]) / (timeS[to] - timeS[from]);
  }
  return speed;
}
