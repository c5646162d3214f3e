/** A 95 % interval unless its name says otherwise. */
export type Interval = [low: number, high: number];
