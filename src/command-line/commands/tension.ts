import {
  describeTension,
  LapbenchError,
  readBenchFile,
  reduceTension,
  type KnownSpoke,
  type TensionQuestions,
  type TensionUnit,
} from '../../application/index.ts';
import { fromHere, type Io } from '../io.ts';
import { numberOption } from '../number-option.ts';

export interface TensionOptions {
  as: string;
  calibration?: string;
  spokeType?: string;
  unit?: string;
  wheel?: string;
  tolerance?: string;
  maximum?: string;
  known?: string[];
  lateral?: string;
  radial?: string;
  json?: boolean;
}

/** `lapbench tension spokes.csv --wheel wheel.yaml`: nothing is stored. */
export function tension(io: Io, readings: string, options: TensionOptions): void {
  const read = (name: string | undefined) =>
    name === undefined ? null : readBenchFile(fromHere(io, name), name);
  const number = (name: string, given: string | undefined, unit: string) =>
    given === undefined ? null : numberOption(name, given, { above: 0, unit });
  const as = kindOf(options.as);
  refuseIdle(as, options);
  const finding = reduceTension(
    readBenchFile(fromHere(io, readings), readings),
    {
      as,
      calibration: read(options.calibration),
      spokeType: options.spokeType ?? null,
      unit: unitOf(options.unit),
      tolerancePercent: number('--tolerance', options.tolerance, 'percent'),
      maximumN: number('--maximum', options.maximum, 'newtons'),
      known: (options.known ?? []).map(knownOf),
      lateralLimitMm: number('--lateral', options.lateral, 'millimetres'),
      radialLimitMm: number('--radial', options.radial, 'millimetres'),
    },
    read(options.wheel),
  );
  io.out(options.json ? `${JSON.stringify(finding, null, 2)}\n` : describeTension(finding));
}

/** An option that would be passed over in silence: the person meant something by it. */
function refuseIdle(as: TensionQuestions['as'], given: TensionOptions): void {
  const idle = (message: string, remedy: string): never => {
    throw new LapbenchError({ code: 'usage', message, remedy });
  };
  if (as !== 'pitch' && given.known !== undefined)
    idle(
      'A known spoke calibrates pitches, and these are none.',
      'Leave --known out, or say --as pitch.',
    );
  if (as === 'gauge') return;
  if (given.calibration !== undefined)
    idle(
      `A calibration table turns the numbers of a gauge into tensions, and these are read as ${as}.`,
      'Say --as gauge, or leave --calibration out.',
    );
  if (given.spokeType !== undefined)
    idle(
      'A kind of spoke is looked up in the table of a gauge, and there is none.',
      'Say --as gauge, or leave --spoke-type out.',
    );
}

function kindOf(given: string): TensionQuestions['as'] {
  if (given === 'tension' || given === 'gauge' || given === 'pitch') return given;
  return refuse('--as', given, 'Write --as tension, --as gauge or --as pitch.');
}

function unitOf(given: string | undefined): TensionUnit | null {
  if (given === undefined) return null;
  const unit = (['N', 'kgf', 'lbf'] as const).find(
    (one) => one.toLowerCase() === given.toLowerCase(),
  );
  return unit ?? refuse('--unit', given, 'Write --unit N, --unit kgf or --unit lbf.');
}

/** `3:1100` or `3:1100:30`: spoke, newtons, and perhaps their standard uncertainty. */
function knownOf(given: string): KnownSpoke {
  const [spoke, tensionN, standardUncertaintyN = 0, ...rest] = given
    .split(':')
    .map((part) => (part.trim() === '' ? NaN : Number(part)));
  const fits =
    rest.length === 0 &&
    Number.isInteger(spoke) &&
    spoke >= 1 &&
    tensionN > 0 &&
    Number.isFinite(tensionN) &&
    standardUncertaintyN >= 0;
  if (fits) return { spoke, tensionN, standardUncertaintyN };
  return refuse(
    '--known',
    given,
    'Write spoke and newtons, --known 3:1100; with a standard uncertainty, --known 3:1100:30.',
  );
}

function refuse(name: string, given: string, remedy: string): never {
  throw new LapbenchError({
    code: 'usage',
    message: `${name} is ${JSON.stringify(given)}.`,
    remedy,
  });
}
