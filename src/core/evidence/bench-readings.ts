/** What is read off on the bench: a dial under a load. */

/** One reading of the dial under a side load at the rim, in the order in which it was taken. */
export interface DeflectionReading {
  /** Which time the wheel was put into the fixture, as the tester named it. */
  remount: string;
  /** Where on the rim, degrees from the valve; null when not written down. */
  positionDeg: number | null;
  /** Whether the load was on its way up or down. */
  direction: 'load' | 'unload';
  loadN: number;
  deflectionMm: number;
  /** Line of the file it stands in, from 1; null when it came from elsewhere. */
  line: number | null;
}
