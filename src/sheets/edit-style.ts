/** How a person wrote a sheet, as far as the writer can follow. */

export function isJson(text: string): boolean {
  try {
    return typeof JSON.parse(text) === 'object';
  } catch {
    return false;
  }
}

/** The person's own habits, as far as the writer can follow them. */
export function styleOf(text: string): { flowCollectionPadding: boolean; indentSeq: boolean } {
  return {
    flowCollectionPadding: /\{ +\S/.test(text) && !/\{\S/.test(text),
    indentSeq: !/^\w+:[ \t]*(?:#.*)?\r?\n- /m.test(text),
  };
}
