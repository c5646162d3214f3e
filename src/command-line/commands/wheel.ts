import {
  describeWheel,
  LapbenchError,
  readBenchFile,
  reduceWheel,
} from '../../application/index.ts';
import { fromHere, type Io } from '../io.ts';
import { numberOption } from '../number-option.ts';

export interface WheelOptions {
  compare?: string;
  fit?: string;
  fitCi95?: string;
  side?: string;
  inward?: string;
  brake?: string;
  at?: string;
  influence?: boolean;
  json?: boolean;
}

/** `lapbench wheel wheel.yaml`: nothing is stored. */
export function wheel(io: Io, sheet: string, options: WheelOptions): void {
  const { compare } = options;
  const finding = reduceWheel(readBenchFile(fromHere(io, sheet), sheet), {
    compare: compare === undefined ? null : readBenchFile(fromHere(io, compare), compare),
    ...fitOf(options),
    load: loadOf(options),
    influence: options.influence ?? false,
  });
  io.out(options.json ? `${JSON.stringify(finding, null, 2)}\n` : describeWheel(finding));
}

function fitOf({ fit, fitCi95 }: WheelOptions) {
  const stiffness = (name: string, given: string): number =>
    numberOption(name, given, { above: 0, unit: 'N/mm' });
  if (fit === undefined) {
    if (fitCi95 !== undefined) {
      throw new LapbenchError({
        code: 'usage',
        message: '--fit-ci95 is an interval without its stiffness.',
        remedy: 'Give --fit as well.',
      });
    }
    return {};
  }
  const benchLateralNPerMm = stiffness('--fit', fit);
  if (fitCi95 === undefined) return { benchLateralNPerMm };
  const [low, high, ...more] = fitCi95.split(',').map((end) => stiffness('--fit-ci95', end));
  if (
    high === undefined ||
    more.length > 0 ||
    !(low <= benchLateralNPerMm && benchLateralNPerMm <= high)
  ) {
    throw new LapbenchError({
      code: 'usage',
      message: `--fit-ci95 is ${JSON.stringify(fitCi95)}, and --fit ${fit}.`,
      remedy:
        'Give the low and the high end with the stiffness between them: --fit 74.5 --fit-ci95 72.1,76.9.',
    });
  }
  return { benchLateralNPerMm, benchLateralCi95: [low, high] as [number, number] };
}

function loadOf({ side, inward, brake, at }: WheelOptions) {
  const number = (name: string, given: string | undefined, unit: string): number =>
    given === undefined ? 0 : numberOption(name, given, { unit });
  if (side === undefined && inward === undefined && brake === undefined) {
    if (at === undefined) return null;
    throw new LapbenchError({
      code: 'usage',
      message: '--at is the place of a load, and there is none.',
      remedy: 'Give --side, --inward or --brake as well.',
    });
  }
  return {
    sideN: number('--side', side, 'newtons'),
    inwardN: number('--inward', inward, 'newtons'),
    brakeNm: number('--brake', brake, 'newton metres'),
    atSpoke: at === undefined ? 1 : numberOption('--at', at, { least: 1, unit: 'spokes' }),
  };
}
