/**
 * How a spoke rings: a stiff wire under tension, held at both ends.
 *
 * Equation of the stiff string EI·w'''' − T·w'' = μω²·w (Fletcher and Rossing, The Physics of Musical
 * Instruments, 2.18; Morse, Vibration and Sound, 1948). Both ends are alike, so the modes are even or odd
 * about the middle and half the span is enough: with h = L/2, α² = β² + T/EI and ω² = (EI/μ)·α²β²,
 * rotational springs k at the ends give
 *
 *     even: EI(α² + β²) + k(β·tan βh + α·tanh αh) = 0
 *     odd:  EI(α² + β²) + k(α·coth αh − β·cot βh) = 0
 */

/** A spoke as a vibrating wire, in one plane of bending. */
export interface Wire {
  lengthM: number;
  areaM2: number;
  /** Of the section, against bending in this plane. */
  secondMomentM4: number;
  youngPa: number;
  densityKgM3: number;
}

/**
 * Natural frequency, Hz.
 *
 * @param tensionN below zero it is taken as zero: a slack spoke does not push
 * @param mode from 1
 * @param fixity how far the ends are clamped: 0 pinned, 1 clamped; between, springs of stiffness
 *   3·EI/L·fixity/(1 − fixity)
 */
export function wireHz(wire: Wire, tensionN: number, mode = 1, fixity = 1): number {
  const { lengthM, areaM2, secondMomentM4, youngPa, densityKgM3 } = wire;
  const bendingNm2 = youngPa * secondMomentM4;
  const massKgM = densityKgM3 * areaM2;
  const pull = Math.max(0, tensionN) / bendingNm2;
  const half = lengthM / 2;
  const loose = (1 - fixity) * lengthM;
  const held = 3 * fixity;
  const even = mode % 2 === 1;
  // Both equations times cos βh or sin βh, so that they stay finite at the ends of the bracket.
  const miss = (beta: number): number => {
    const alpha = Math.sqrt(beta * beta + pull);
    const c = Math.cos(beta * half);
    const s = Math.sin(beta * half);
    const both = loose * (alpha * alpha + beta * beta);
    const t = Math.tanh(alpha * half);
    return even
      ? both * c + held * (beta * s + alpha * t * c)
      : both * s + held * ((alpha / t) * s - beta * c);
  };
  let low = (mode * Math.PI) / lengthM;
  let high = ((mode + 1) * Math.PI) / lengthM;
  if (held > 0) {
    const sign = Math.sign(miss(high));
    for (let i = 0; i < 60; i++) {
      const middle = (low + high) / 2;
      if (Math.sign(miss(middle)) === sign) high = middle;
      else low = middle;
    }
  }
  const alpha = Math.sqrt(low * low + pull);
  return (alpha * low * Math.sqrt(bendingNm2 / massKgM)) / (2 * Math.PI);
}
