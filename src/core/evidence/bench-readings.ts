/** What is read off on the bench: a dial under a load, and the tension of spokes. */
import type { Side } from './wheel.ts';

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

/** One reading of one spoke. A spoke may be read several times. */
export interface SpokeReading {
  /** From 1, round the rim in the direction of rotation, from the valve. */
  spoke: number;
  side: Side;
  /** A tension, the number on the gauge, or hertz: what it is, the evidence says. */
  reading: number;
  /** Line of the file it stands in, from 1; null when it came from elsewhere. */
  line: number | null;
}

/** One line of a gauge's own table: what it shows at a known tension. */
export interface GaugePoint {
  /** Null: the table holds for one kind of spoke and does not say which. */
  spokeType: string | null;
  reading: number;
  tensionN: number;
  line: number | null;
}
