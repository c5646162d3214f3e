/** Which setups of a day a bench item belongs to. */

export interface NamedSetup {
  id: string;
  name: string;
}

/** Whether an item's `setup` is the id or the name of this setup; case and blanks do not count. */
export function belongsTo(written: string, { id, name }: NamedSetup): boolean {
  const setup = plain(written);
  return setup !== '' && (setup === plain(id) || setup === plain(name));
}

const plain = (text: string): string => text.trim().replace(/\s+/g, ' ').toLowerCase();
