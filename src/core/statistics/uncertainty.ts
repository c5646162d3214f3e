/**
 * Law of propagation of uncertainty, first order, with correlation (JCGM 100:2008, "GUM", 5.1 and 5.2)
 * and effective degrees of freedom by Welch and Satterthwaite (GUM G.4).
 */
import { tQuantile } from './distributions.ts';

export interface UncertainInput {
  name: string;
  value: number;
  standardUncertainty: number;
  /** Default Infinity. */
  df?: number;
}

export interface PropagatedUncertainty {
  value: number;
  standardUncertainty: number;
  /** ∂f/∂x_i, in the order of the inputs. */
  sensitivities: number[];
  /** |∂f/∂x_i|·u(x_i): what each input brings alone. */
  contributions: { name: string; standardUncertainty: number }[];
  /** Effective degrees of freedom; correlations are left out of it, as the GUM does. */
  effectiveDf: number;
  /** Half-width of the interval of a level, Student's t at the effective df (whole ones, rounded down). */
  expanded: (level?: number) => { coverageFactor: number; halfWidth: number };
}

/**
 * Uncertainty of f(x). `correlation`: symmetric matrix in the order of the inputs (default: none).
 * Sensitivities are central differences unless given.
 */
export function propagateUncertainty(input: {
  model: (x: number[]) => number;
  inputs: readonly UncertainInput[];
  correlation?: readonly (readonly number[])[];
  sensitivities?: readonly number[];
}): PropagatedUncertainty {
  const { model, inputs, correlation } = input;
  const k = inputs.length;
  const x = inputs.map((one) => one.value);
  for (const one of inputs) {
    if (!(one.standardUncertainty >= 0)) {
      throw new RangeError(
        `${one.name}: a standard uncertainty cannot be ${one.standardUncertainty}`,
      );
    }
  }
  const sensitivities = input.sensitivities
    ? [...input.sensitivities]
    : inputs.map((one, i) => derivative(model, x, i, one.standardUncertainty));
  const parts = sensitivities.map((c, i) => c * inputs[i].standardUncertainty);
  let variance = 0;
  for (let i = 0; i < k; i++) {
    variance += parts[i] * parts[i];
    for (let j = 0; correlation && j < i; j++) {
      const r = correlation[i][j];
      if (!(Math.abs(r) <= 1)) throw new RangeError(`a correlation cannot be ${r}`);
      variance += 2 * r * parts[i] * parts[j];
    }
  }
  const standardUncertainty = Math.sqrt(Math.max(0, variance));
  let spread = 0;
  inputs.forEach((one, i) => (spread += parts[i] ** 4 / (one.df ?? Infinity)));
  const effectiveDf = spread > 0 ? variance ** 2 / spread : Infinity;
  return {
    value: model(x),
    standardUncertainty,
    sensitivities,
    contributions: inputs.map((one, i) => ({
      name: one.name,
      standardUncertainty: Math.abs(parts[i]),
    })),
    effectiveDf,
    expanded: (level = 0.95) => {
      // Never below one: there is no t for less.
      const df = effectiveDf === Infinity ? Infinity : Math.max(1, Math.floor(effectiveDf));
      const coverageFactor = tQuantile((1 + level) / 2, df);
      return { coverageFactor, halfWidth: coverageFactor * standardUncertainty };
    },
  };
}

/** Slope across ±u, the scale on which the model must be straight anyway (GUM 5.1.3, note 2). */
function derivative(model: (x: number[]) => number, x: number[], i: number, u: number): number {
  const h = u > 0 ? u : 1e-6 * (Math.abs(x[i]) || 1);
  const at = (offset: number): number =>
    model(x.map((value, j) => (j === i ? value + offset : value)));
  return (at(h) - at(-h)) / (2 * h);
}
