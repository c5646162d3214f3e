/** Positions as metres east and north of the first one. */

/** Mean radius of the earth, m (IUGG). */
const earthRadiusM = 6371008.8;
const radPerDeg = Math.PI / 180;

/**
 * A flat map that moves along: each position is placed from the one before it with the scale of its own
 * latitude, so that lengths and angles hold on courses of any size.
 */
export class PlaneMap {
  private latDeg: number;
  private lonDeg: number;
  private eastM = 0;
  private northM = 0;

  constructor(latDeg: number, lonDeg: number) {
    this.latDeg = latDeg;
    this.lonDeg = lonDeg;
  }

  /** East and north, m, of the next position of the track. */
  place(latDeg: number, lonDeg: number): [eastM: number, northM: number] {
    const turn = ((((lonDeg - this.lonDeg) % 360) + 540) % 360) - 180;
    const middle = 0.5 * (latDeg + this.latDeg) * radPerDeg;
    this.eastM += turn * radPerDeg * earthRadiusM * Math.cos(middle);
    this.northM += (latDeg - this.latDeg) * radPerDeg * earthRadiusM;
    this.latDeg = latDeg;
    this.lonDeg = lonDeg;
    return [this.eastM, this.northM];
  }
}
