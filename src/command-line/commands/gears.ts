import {
  describeGears,
  filesBeside,
  LapbenchError,
  readBenchFile,
  reduceGears,
  reduceTypedGears,
  type GearsFinding,
} from '../../application/index.ts';
import { fromHere, type Io } from '../io.ts';
import { numberOption } from '../number-option.ts';

export interface GearsOptions {
  chainrings?: string;
  cassette?: string;
  tyre?: string;
  cadence?: string;
  json?: boolean;
}

const typed = ['chainrings', 'cassette', 'tyre', 'cadence'] as const;

/** `lapbench gears gears.yaml`, or `lapbench gears --chainrings … --cassette … --tyre …`: nothing is stored. */
export function gears(io: Io, sheet: string | undefined, options: GearsOptions): void {
  const finding = sheet === undefined ? fromOptions(options) : fromSheet(io, sheet, options);
  io.out(options.json ? `${JSON.stringify(finding, null, 2)}\n` : describeGears(finding));
}

function fromSheet(io: Io, sheet: string, options: GearsOptions): GearsFinding {
  const also = typed.find((name) => options[name] !== undefined);
  if (also !== undefined) {
    throw new LapbenchError({
      code: 'usage',
      message: `--${also} stands beside a sheet, which says it already.`,
      remedy: 'Change the sheet, or leave it out.',
    });
  }
  const location = fromHere(io, sheet);
  return reduceGears(readBenchFile(location, sheet), filesBeside(location));
}

function fromOptions({ chainrings, cassette, tyre, cadence }: GearsOptions): GearsFinding {
  if (chainrings === undefined || cassette === undefined || tyre === undefined) {
    throw new LapbenchError({
      code: 'usage',
      message: 'There is no gears sheet, and not all of --chainrings, --cassette and --tyre.',
      remedy:
        'Name a sheet, or give all three: --chainrings 50,34 --cassette 11,13,15 --tyre 28-622.',
    });
  }
  const teeth = (name: string, given: string): number[] =>
    given.split(',').map((one) => numberOption(name, one, { least: 1, unit: 'teeth' }));
  return reduceTypedGears({
    chainrings: teeth('--chainrings', chainrings),
    cassette: teeth('--cassette', cassette),
    tyre,
    ...(cadence === undefined
      ? {}
      : { cadenceRpm: numberOption('--cadence', cadence, { above: 0, unit: '1/min' }) }),
  });
}
