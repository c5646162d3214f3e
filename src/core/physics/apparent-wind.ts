/** Wind as the moving bike meets it: vectors in the plane of the road. */
import { degToRad, radToDeg } from '../units/index.ts';

export interface ApparentWind {
  /** Air against the bike along its axis, m/s; negative when the tailwind outruns the bike. */
  alongMps: number;
  /** Across, m/s; positive from the right. */
  crosswindMps: number;
  /** Size of the apparent wind, m/s. */
  speedMps: number;
  /** Angle of the apparent wind from the direction of travel, degrees; positive from the right. */
  yawDeg: number;
}

/**
 * Apparent wind from ground speed, the direction ridden towards and the direction the wind blows from
 * (both in degrees clockwise from north).
 */
export function apparentWind(input: {
  groundSpeedMps: number;
  headingDeg: number;
  windSpeedMps: number;
  windFromDeg: number;
}): ApparentWind {
  const angle = degToRad(input.windFromDeg - input.headingDeg);
  const alongMps = input.groundSpeedMps + input.windSpeedMps * Math.cos(angle);
  const crosswindMps = input.windSpeedMps * Math.sin(angle);
  return {
    alongMps,
    crosswindMps,
    speedMps: Math.hypot(alongMps, crosswindMps),
    yawDeg: radToDeg(Math.atan2(crosswindMps, alongMps)),
  };
}
