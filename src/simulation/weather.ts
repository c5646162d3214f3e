import { celsiusToKelvin, degToRad } from '../core/units/index.ts';
import { randomStream, wander } from './random.ts';
import type { FilledConditions } from './conditions.ts';

/**
 * Density of moist air, kg/m³, as a mixture of ideal gases (gas constants 287.05 and 461.50 J/(kg K))
 * with the Magnus form of vapour pressure (coefficients of Alduchov and Eskridge 1996, from memory).
 * On purpose another formula than the estimate's; the two differ by less than 0.1 %.
 */
export function moistAirDensityKgM3(
  temperatureC: number,
  pressureHPa: number,
  relativeHumidityPercent: number,
): number {
  const kelvin = celsiusToKelvin(temperatureC);
  const vapourHPa =
    (relativeHumidityPercent / 100) *
    6.1094 *
    Math.exp((17.625 * temperatureC) / (temperatureC + 243.04));
  return (
    (100 * (pressureHPa - vapourHPa)) / (287.05 * kelvin) + (100 * vapourHPa) / (461.5 * kelvin)
  );
}

/** Air at one moment of the day. */
export interface AirState {
  temperatureC: number;
  pressureHPa: number;
  densityKgM3: number;
}

/** The air over the day: straight trends of temperature and pressure at the gate's height. */
export function airAt(conditions: FilledConditions, partOfDay: number): AirState {
  const {
    temperatureC,
    temperatureTrendC,
    pressureHPa,
    pressureTrendHPa,
    relativeHumidityPercent,
  } = conditions.air;
  const temperature = temperatureC + temperatureTrendC * partOfDay;
  const pressure = pressureHPa + pressureTrendHPa * partOfDay;
  return {
    temperatureC: temperature,
    pressureHPa: pressure,
    densityKgM3: moistAirDensityKgM3(temperature, pressure, relativeHumidityPercent),
  };
}

/** Wind as it meets the rider, before shelter: east and north parts of where it blows TO, m/s. */
export interface Wind {
  eastMps: number;
  northMps: number;
  step(dtS: number): void;
}

/**
 * Wind over the day as the rider meets it. Direction: half a slow sine turn plus a wander of ten
 * minutes; gusts along and across: Ornstein-Uhlenbeck, so a gust dies away exponentially.
 */
export function windOf(conditions: FilledConditions, dayLengthS: number): Wind {
  const c = conditions.wind;
  const random = randomStream(conditions.seed, 'wind');
  const from = degToRad(c.fromDeg ?? 360 * random.uniform());
  const turning = degToRad(c.turningDeg) * (random.uniform() < 0.5 ? -1 : 1);
  const direction = wander(random, degToRad(c.directionWanderDeg), 600);
  const along = wander(random, c.gustIntensity, c.gustTimeScaleS);
  const across = wander(random, c.lateralIntensity, c.gustTimeScaleS);
  const slow = wander(random, c.slowVariation, 900);
  let time = 0;
  const wind: Wind = {
    eastMps: 0,
    northMps: 0,
    step(dtS) {
      time += dtS;
      // Direction and the mean change too slowly to be worth a new draw at every step of a ride.
      direction.step(dtS);
      slow.step(dtS);
      along.step(dtS);
      across.step(dtS);
      set();
    },
  };
  const set = (): void => {
    const part = Math.min(1, Math.max(0, time / dayLengthS));
    const towards = from + turning * Math.sin((Math.PI / 2) * part) + direction.value + Math.PI;
    // Air does not blow backwards in a lull: the factor along the wind stops at zero.
    const a = c.speedMps * Math.max(0, 1 + along.value + slow.value);
    const b = c.speedMps * across.value;
    wind.eastMps = a * Math.sin(towards) + b * Math.cos(towards);
    wind.northMps = a * Math.cos(towards) - b * Math.sin(towards);
  };
  set();
  return wind;
}
