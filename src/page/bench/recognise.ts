/** Which kind of bench item a dropped file is, by its content; the server then checks every line of it. */
import type { BenchKind, Problem } from '../../application/contract.ts';
import { readReadings } from './readings.ts';

const most = 2_000_000;

const columnsOf: Record<'stiffness' | 'tension', string[]> = {
  stiffness: ['remount', 'position_deg', 'direction', 'load_n', 'deflection_mm'],
  tension: ['spoke', 'side', 'reading'],
};

export type Recognised = { kind: BenchKind; input: string } | { problem: Problem };

/** Line ends as the page writes them, and without the mark that some programs put first. */
const plain = (text: string): string => text.replace(/^\uFEFF/, '').replace(/\r\n?/g, '\n');

export function recognise(file: string, text: string): Recognised {
  const refuse = (message: string, remedy: string): Recognised => ({
    problem: { code: 'format-unknown', file, message, remedy },
  });
  if (text.trim() === '') return refuse('The file is empty.', usual);
  if (/[\0\uFFFD]/.test(text.slice(0, 4000))) {
    return refuse(
      'This is not text, as readings and wheel sheets are.',
      'Ride recordings belong to a test day; a table from a calculation program must be saved as CSV first.',
    );
  }
  const input = plain(text);
  const hasKey = (key: string) => new RegExp(`^[\\s{,]*["']?${key}["']?\\s*:`, 'm').test(input);
  if (['rim', 'hub', 'spokes'].filter(hasKey).length >= 2) return { kind: 'wheel', input };
  if (hasKey('setups') && hasKey('runs'))
    return refuse('This looks like the sheet of a test day.', 'Put it into a test day, as text.');
  const { columns } = readReadings(input);
  const found = (kind: keyof typeof columnsOf) =>
    columnsOf[kind].filter((name) => columns.includes(name)).length;
  if (found('stiffness') >= 2) return { kind: 'stiffness', input };
  if (found('tension') >= 2) return { kind: 'tension', input };
  if (columns.includes('reading') && columns.includes('tension_n'))
    return refuse(
      "This looks like a gauge's calibration.",
      'Put it into an item with spoke tensions, at what is read.',
    );
  const shown = columns.slice(0, 6).map((name) => JSON.stringify(name.slice(0, 20)));
  return refuse(`The file begins with ${shown.join(', ')}: neither readings nor a wheel.`, usual);
}

const usual =
  'Readings are CSV with the columns remount, position_deg, direction, load_n, deflection_mm, or spoke, side, reading; a wheel sheet is YAML with rim, hub and spokes.';

/** Reads a file and recognises it; what cannot be read is a problem too. */
export async function recogniseFile(file: File): Promise<Recognised> {
  if (file.size > most) {
    return {
      problem: {
        code: 'file-too-large',
        file: file.name,
        message: `The file has ${Math.round(file.size / 1000)} kB; readings or a wheel sheet have at most ${most / 1000} kB.`,
        remedy: 'Check that this is the file meant.',
      },
    };
  }
  try {
    return recognise(file.name, await file.text());
  } catch {
    return {
      problem: {
        code: 'file-missing',
        file: file.name,
        message: 'The file could not be read; a folder cannot be dropped here.',
        remedy: 'Drop the files in it.',
      },
    };
  }
}
