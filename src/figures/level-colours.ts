/**
 * Colours for levels, from quiet to loud. Lightness alone carries the reading: CIE L* falls (on white) or rises (on
 * near-black) in equal steps, so that equal steps of decibels look equal, in grey print too and without any colour
 * sense. A green that deepens to blue goes along with it; the warm colours stay free for what is drawn on top.
 * The ramp is our own; conversions: OKLab (Björn Ottosson 2020, from memory), sRGB and L* (IEC 61966-2-1, ISO/CIE
 * 11664-4, from memory; the test computes L* anew).
 */

const ends = {
  light: { quiet: 99, loud: 10, chroma: 0.085 },
  dark: { quiet: 5, loud: 97, chroma: 0.075 },
} as const;
const hueQuietDeg = 155;
const hueLoudDeg = 225;

export const levelSteps = 256;

/** `levelSteps` colours as red, green, blue, opacity of a byte each, the quietest first. */
export function levelColours(ground: 'light' | 'dark'): Uint8ClampedArray {
  const { quiet, loud, chroma } = ends[ground];
  const bytes = new Uint8ClampedArray(4 * levelSteps);
  for (let i = 0; i < levelSteps; i++) {
    const share = i / (levelSteps - 1);
    const lightness = quiet + (loud - quiet) * share;
    const hue = ((hueQuietDeg + (hueLoudDeg - hueQuietDeg) * share) * Math.PI) / 180;
    // None at the ends: white and black stay what they are.
    const strength = chroma * Math.sin(Math.PI * share) ** 0.8;
    const rgb = ofLightness(lightness, strength * Math.cos(hue), strength * Math.sin(hue));
    for (let k = 0; k < 3; k++) bytes[4 * i + k] = Math.round(255 * gamma(rgb[k]));
    bytes[4 * i + 3] = 255;
  }
  return bytes;
}

/** The linear red, green and blue of given L* and colour directions, found by halving the OKLab lightness. */
function ofLightness(lightness: number, a: number, b: number): [number, number, number] {
  const wanted = lightness > 8 ? ((lightness + 16) / 116) ** 3 : lightness / 903.3;
  let low = 0;
  let high = 1;
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2;
    const [red, green, blue] = linearRgb(middle, a, b);
    if (0.2126 * red + 0.7152 * green + 0.0722 * blue < wanted) low = middle;
    else high = middle;
  }
  return linearRgb((low + high) / 2, a, b);
}

function linearRgb(lightness: number, a: number, b: number): [number, number, number] {
  const l = (lightness + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (lightness - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const s = (lightness - 0.0894841775 * a - 1.291485548 * b) ** 3;
  const inside = (value: number) => Math.min(1, Math.max(0, value));
  return [
    inside(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
    inside(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
    inside(-0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s),
  ];
}

function gamma(linear: number): number {
  return linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
}
