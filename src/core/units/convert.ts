/** Conversions at the edge; everything inside is SI. Exact factors unless said otherwise. */

/** Standard acceleration of gravity, m/s² (ISO 80000-3). */
export const standardGravityMps2 = 9.80665;

/** Zero Celsius in kelvin. */
export const zeroCelsiusK = 273.15;

export const kmhToMps = (kmh: number): number => kmh / 3.6;
export const hPaToPa = (hPa: number): number => hPa * 100;
export const celsiusToKelvin = (celsius: number): number => celsius + zeroCelsiusK;
export const degToRad = (deg: number): number => (deg * Math.PI) / 180;
export const radToDeg = (rad: number): number => (rad * 180) / Math.PI;
/** International mile per hour. */
export const mphToMps = (mph: number): number => mph * 0.44704;
