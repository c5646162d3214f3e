import { LapbenchError } from '../application/index.ts';

/** A number typed after an option; throws `usage` when it is none, or out of its bounds. */
export function numberOption(
  name: string,
  given: string,
  { least, above, unit }: { least?: number; above?: number; unit: string },
): number {
  const value = given.trim() === '' ? NaN : Number(given);
  const fits =
    Number.isFinite(value) &&
    (least === undefined || value >= least) &&
    (above === undefined || value > above);
  if (fits) return value;
  const bound =
    least !== undefined ? ` of ${least} or more` : above !== undefined ? ` above ${above}` : '';
  throw new LapbenchError({
    code: 'usage',
    message: `${name} is ${JSON.stringify(given)}.`,
    remedy: `Give a number${bound}, in ${unit}, with a decimal point.`,
  });
}
