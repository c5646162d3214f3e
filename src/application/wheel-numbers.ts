/** How numbers of a wheel are written, and their columns. */

/** Four digits: what the solver is checked to, more than any sheet's inputs support. */
export const digits = (value: number): string => {
  if (!Number.isFinite(value)) return '-';
  if (Math.abs(value) >= 1000) return value.toFixed(0);
  const text = value.toPrecision(4);
  return Number(text) === 0 ? '0' : text.includes('e') ? String(Number(text)) : text;
};
/** With a sign and fixed decimals; never "-0.00". */
export const signed = (value: number, decimals: number): string => {
  const text = value.toFixed(decimals);
  if (Number(text) === 0) return text.replace('-', '');
  return value > 0 ? `+${text}` : text;
};

export const right = (title: string) => ({ title, align: 'right' as const });
