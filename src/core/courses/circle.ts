/** The circle nearest to points: Taubin (1991), IEEE Trans. PAMI 13:1115; Newton's method as in Chernov (2010). */

export interface Circle {
  centreX: number;
  centreY: number;
  radius: number;
  /** Of the distances of the points from the circle, squared. */
  sumOfSquares: number;
}

/** Null where the points lie on one spot, or on a line so straight that no circle is found. */
export function circleThrough(x: Float64Array, y: Float64Array): Circle | null {
  const n = x.length;
  let [meanX, meanY] = [0, 0];
  for (let i = 0; i < n; i++) {
    meanX += x[i] / n;
    meanY += y[i] / n;
  }
  let [xx, yy, xy, xz, yz, zz] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < n; i++) {
    const a = x[i] - meanX;
    const b = y[i] - meanY;
    const c = a * a + b * b;
    xx += (a * a) / n;
    yy += (b * b) / n;
    xy += (a * b) / n;
    xz += (a * c) / n;
    yz += (b * c) / n;
    zz += (c * c) / n;
  }
  const z = xx + yy;
  if (!(z > 0)) return null;
  const covariance = xx * yy - xy * xy;
  const variance = zz - z * z;
  const a3 = 4 * z;
  const a2 = -3 * z * z - zz;
  const a1 = variance * z + 4 * covariance * z - xz * xz - yz * yz;
  const a0 = xz * (xz * yy - yz * xy) + yz * (yz * xx - xz * xy) - variance * covariance;
  let root = 0;
  for (let turn = 0; turn < 30; turn++) {
    const value = a0 + root * (a1 + root * (a2 + root * a3));
    const slope = a1 + root * (2 * a2 + 3 * a3 * root);
    const next = root - value / slope;
    if (!Number.isFinite(next) || Math.abs(next - root) <= 1e-12 * Math.abs(next)) break;
    root = next;
  }
  const determinant = root * root - root * z + covariance;
  if (!(Math.abs(determinant) > 1e-12 * z * z)) return null;
  const cx = (xz * (yy - root) - yz * xy) / determinant / 2;
  const cy = (yz * (xx - root) - xz * xy) / determinant / 2;
  const radius = Math.sqrt(cx * cx + cy * cy + z);
  if (!Number.isFinite(radius)) return null;
  let sumOfSquares = 0;
  for (let i = 0; i < n; i++) {
    const off = Math.hypot(x[i] - meanX - cx, y[i] - meanY - cy) - radius;
    sumOfSquares += off * off;
  }
  return { centreX: meanX + cx, centreY: meanY + cy, radius, sumOfSquares };
}
