/** A number as people type it: point or comma. NaN when it is none. */
export function readNumber(text: string): number {
  const plain = text.replace(',', '.').replace('\u2212', '-');
  return /^[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?$/i.test(plain) ? Number(plain) : NaN;
}

/** The check of a numeric field; an empty text passes when the field may be left out. */
export function numberCheck(optional: boolean): (text: string) => string | null {
  return (text) => {
    if (text === '') return optional ? null : 'A number is needed here.';
    return Number.isFinite(readNumber(text)) ? null : `"${text}" is not a number.`;
  };
}
