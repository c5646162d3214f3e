import { degToRad, radToDeg } from '../core/units/index.ts';
import { randomStream, wander } from './random.ts';
import type { FilledConditions } from './conditions.ts';
import type { Course } from './course.ts';
import type { TrueRide } from './ride.ts';
import type { AirState } from './weather.ts';

/** Channels as recorded, one column each; those switched off are absent. */
export interface RecordedChannels {
  speedMps: Float64Array;
  powerW: Float64Array;
  altitudeM?: Float64Array;
  distanceM?: Float64Array;
  latDeg?: Float64Array;
  lonDeg?: Float64Array;
  airspeedMps?: Float64Array;
  yawDeg?: Float64Array;
  temperatureC?: Float64Array;
  pressureHPa?: Float64Array;
}

export interface Recorded {
  timeS: Float64Array;
  channels: RecordedChannels;
  /** Seconds from the first sample. */
  lapMarksS: Float64Array;
}

export interface MeasureInput {
  conditions: FilledConditions;
  course: Course;
  ride: TrueRide;
  runIndex: number;
  /** Seconds from the day's first sample to this run's first. */
  dayTimeS: number;
  dayLengthS: number;
  airAt: (partOfDay: number) => AirState;
  /** Wander of instruments that stay on all day. */
  barometer: { step(dtS: number): number };
}

/** Metres for a degree of latitude on a sphere of 6,371,008.8 m (mean Earth radius, IUGG). */
const metresPerDegree = (Math.PI / 180) * 6_371_008.8;

/** What the instruments make of a ride: one row a second. */
export function measure(input: MeasureInput): Recorded {
  const { conditions, course, ride } = input;
  const c = conditions.sensors;
  // One stream for each instrument: taking one away leaves the others' noise as it was.
  const stream = (purpose: string) => randomStream(conditions.seed, `${purpose} ${input.runIndex}`);
  const forPower = stream('power');
  const forSpeed = stream('speed');
  const forDistance = stream('distance');
  const forAir = stream('airspeed');
  const forAltitude = stream('altitude');
  const forPosition = stream('position');
  const forMarks = stream('marks');
  const forThermometer = stream('thermometer');
  const forYaw = stream('yaw');
  const eastWander = wander(forPosition, c.positionWanderM, 60);
  const northWander = wander(forPosition, c.positionWanderM, 60);

  const n = ride.timeS.length;
  const column = (): Float64Array => new Float64Array(n);
  const powerW = column();
  const speedMps = column();
  const channels: RecordedChannels = { speedMps, powerW };
  if (c.distance) channels.distanceM = column();
  if (c.altitude) channels.altitudeM = column();
  if (c.position) {
    channels.latDeg = column();
    channels.lonDeg = column();
  }
  if (c.airspeed) channels.airspeedMps = column();
  if (c.yaw) channels.yawDeg = column();
  if (c.temperature) channels.temperatureC = column();
  if (c.pressure) channels.pressureHPa = column();

  let farthest = 0;
  for (let i = 0; i < n; i++) {
    const dayTime = input.dayTimeS + ride.timeS[i];
    const part = dayTime / input.dayLengthS;
    const air = input.airAt(part);
    const way = ride.wayM[i];
    const scale = (1 + c.powerScaleError) * (1 + c.powerDrift * part);
    powerW[i] = Math.max(0, ride.crankPowerW[i] * scale * (1 + c.powerNoise * forPower.normal()));
    speedMps[i] = Math.max(
      0,
      ride.speedMps[i] * (1 + c.speedScaleError) + c.speedNoiseMps * forSpeed.normal(),
    );
    if (channels.distanceM) {
      const along =
        (way - ride.wayM[0]) * (1 + c.speedScaleError) + c.distanceNoiseM * forDistance.normal();
      farthest = i === 0 ? 0 : Math.max(farthest, along);
      channels.distanceM[i] = farthest;
    }
    if (channels.altitudeM) {
      const drift = input.barometer.step(1) + (c.altitudeDriftMPerHour * dayTime) / 3600;
      const shown =
        conditions.course.heightM +
        course.heightM(way) +
        drift +
        c.altitudeNoiseM * forAltitude.normal();
      channels.altitudeM[i] = rounded(shown, c.altitudeResolutionM);
    }
    if (channels.latDeg && channels.lonDeg) {
      const [east, north] = course.eastNorthM(way);
      const offEast = eastWander.step(1) + c.positionNoiseM * forPosition.normal();
      const offNorth = northWander.step(1) + c.positionNoiseM * forPosition.normal();
      const { latDeg, lonDeg } = conditions.course;
      channels.latDeg[i] = latDeg + (north + offNorth) / metresPerDegree;
      channels.lonDeg[i] =
        lonDeg + (east + offEast) / (metresPerDegree * Math.cos(degToRad(latDeg)));
    }
    if (channels.airspeedMps) {
      const factor = (1 + c.airspeedScaleError) * (1 + c.airspeedNoise * forAir.normal());
      channels.airspeedMps[i] = Math.max(0, ride.airspeedMps[i] * factor);
    }
    if (channels.yawDeg) {
      const yaw = radToDeg(Math.atan2(ride.crosswindMps[i], Math.max(0.1, ride.airspeedMps[i])));
      channels.yawDeg[i] = yaw + c.yawNoiseDeg * forYaw.normal();
    }
    if (channels.temperatureC) {
      channels.temperatureC[i] = rounded(
        air.temperatureC + 0.1 * forThermometer.normal(),
        c.temperatureResolutionC,
      );
    }
    if (channels.pressureHPa) channels.pressureHPa[i] = rounded(air.pressureHPa, 0.1);
  }

  const lapMarksS = c.lapMarks
    ? Float64Array.from(ride.gateTimesS, (t) =>
        Math.max(0, t + c.lapMarkJitterS * forMarks.normal()),
      )
    : new Float64Array(0);
  return spoil({ timeS: Float64Array.from(ride.timeS), channels, lapMarksS }, ride);
}

const rounded = (value: number, step: number): number =>
  step > 0 ? step * Math.round(value / step) : value;

/** Puts the recording's own mishaps in: dropouts, spikes and gaps. */
function spoil(recorded: Recorded, ride: TrueRide): Recorded {
  let keep: boolean[] | null = null;
  for (const { incident, timeS } of ride.incidentTimesS) {
    const until = timeS + (incident.seconds ?? 10);
    recorded.timeS.forEach((t, i) => {
      if (t < timeS || t >= until) return;
      if (incident.kind === 'power-dropout') recorded.channels.powerW[i] = 0;
      if (incident.kind === 'power-spike') recorded.channels.powerW[i] = incident.powerW ?? 2000;
      if (incident.kind === 'gap' && i > 0) {
        keep ??= new Array<boolean>(recorded.timeS.length).fill(true);
        keep[i] = false;
      }
    });
  }
  const kept = keep as boolean[] | null;
  if (kept === null) return recorded;
  const thin = (values: Float64Array): Float64Array => values.filter((_, i) => kept[i]);
  const channels = Object.fromEntries(
    Object.entries(recorded.channels).map(([name, values]) => [name, thin(values as Float64Array)]),
  ) as unknown as RecordedChannels;
  return { timeS: thin(recorded.timeS), channels, lapMarksS: recorded.lapMarksS };
}
