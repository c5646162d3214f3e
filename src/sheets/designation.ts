/**
 * ETRTO designations, width-bead seat diameter in mm: "28-622" (ISO 5775-1). Inch and French names (700x28C)
 * are not taken: one such name has stood for several diameters.
 */

/** Metres; null where the text is no designation of a bicycle tyre. */
export function readDesignation(text: string): { widthM: number; beadSeatM: number } | null {
  const found = designationPattern.exec(text);
  if (!found) return null;
  return { widthM: Number(found[1]) / 1000, beadSeatM: Number(found[2]) / 1000 };
}

/** Widths of 15 to 130 mm, bead seats of 194 to 642 mm (widest range of the standard's list, from memory: 203 to 642). */
export const designationPattern =
  /^(1[5-9]|[2-9]\d|1[0-2]\d|130)-(19[4-9]|[2-5]\d\d|6[0-3]\d|64[0-2])$/;
