/** Conversions at the edge; everything inside is SI. Exact factors unless said otherwise. */

/** Standard acceleration of gravity, m/s² (ISO 80000-3). */
export const standardGravityMps2 = 9.80665;

/** Zero Celsius in kelvin. */
export const zeroCelsiusK = 273.15;

export const kmhToMps = (kmh: number): number => kmh / 3.6;
export const mpsToKmh = (mps: number): number => mps * 3.6;
export const hPaToPa = (hPa: number): number => hPa * 100;
export const celsiusToKelvin = (celsius: number): number => celsius + zeroCelsiusK;
export const degToRad = (deg: number): number => (deg * Math.PI) / 180;
export const radToDeg = (rad: number): number => (rad * 180) / Math.PI;
/** International mile per hour. */
export const mphToMps = (mph: number): number => mph * 0.44704;
/** Exact by definition. */
export const barToPa = (bar: number): number => bar * 1e5;
export const paToBar = (pa: number): number => pa / 1e5;
/** One pound-force per square inch: 0.45359237 kg · 9.80665 m/s² on (0.0254 m)². */
const psiPa = (0.45359237 * standardGravityMps2) / 0.0254 ** 2;
export const psiToPa = (psi: number): number => psi * psiPa;
export const paToPsi = (pa: number): number => pa / psiPa;
