/** Time steps of all rows, flat: the quadrature of aerodynamic work. */
export interface Steps {
  count: number;
  dtS: Float64Array;
  speedMps: Float64Array;
  /** Raw airspeed along the bike; unused without a sensor. */
  airspeedMps: Float64Array;
  /** Tangent of the measured yaw; NaN where not measured. */
  yawTangent: Float64Array;
  densityKgM3: Float64Array;
  /** Unit vector of riding direction; both zero when unknown. */
  headingEast: Float64Array;
  headingNorth: Float64Array;
  dayTimeS: Float64Array;
}

/** Quantities of one step, in the order of the store's columns. */
const stepColumns = 8;

/** Collects steps one by one, in columns that grow as needed. */
export class StepStore {
  count = 0;
  private capacity: number;
  private data: Float64Array;

  constructor(capacity: number) {
    this.capacity = capacity;
    this.data = new Float64Array(capacity * stepColumns);
  }

  add(
    dt: number,
    speed: number,
    airspeed: number,
    yawTangent: number,
    density: number,
    east: number,
    north: number,
    time: number,
  ): void {
    if (this.count === this.capacity) {
      const larger = new Float64Array(2 * (this.capacity + 8) * stepColumns);
      for (let k = 0; k < stepColumns; k++) {
        const column = this.data.subarray(k * this.capacity, k * this.capacity + this.count);
        larger.set(column, k * 2 * (this.capacity + 8));
      }
      this.capacity = 2 * (this.capacity + 8);
      this.data = larger;
    }
    const { data, capacity, count } = this;
    data[count] = dt;
    data[capacity + count] = speed;
    data[2 * capacity + count] = airspeed;
    data[3 * capacity + count] = yawTangent;
    data[4 * capacity + count] = density;
    data[5 * capacity + count] = east;
    data[6 * capacity + count] = north;
    data[7 * capacity + count] = time;
    this.count++;
  }

  finished(): Steps {
    const column = (k: number) =>
      this.data.subarray(k * this.capacity, k * this.capacity + this.count);
    return {
      count: this.count,
      dtS: column(0),
      speedMps: column(1),
      airspeedMps: column(2),
      yawTangent: column(3),
      densityKgM3: column(4),
      headingEast: column(5),
      headingNorth: column(6),
      dayTimeS: column(7),
    };
  }
}
