import { describeWheel, readBenchFile, reduceWheel } from '../../application/index.ts';
import { fromHere, type Io } from '../io.ts';
import { numberOption } from '../number-option.ts';

export interface WheelOptions {
  compare?: string;
  fit?: string;
  json?: boolean;
}

/** `lapbench wheel wheel.yaml`: nothing is stored. */
export function wheel(io: Io, sheet: string, options: WheelOptions): void {
  const { compare, fit } = options;
  const finding = reduceWheel(readBenchFile(fromHere(io, sheet), sheet), {
    compare: compare === undefined ? null : readBenchFile(fromHere(io, compare), compare),
    benchLateralNPerMm:
      fit === undefined ? null : numberOption('--fit', fit, { above: 0, unit: 'N/mm' }),
  });
  io.out(options.json ? `${JSON.stringify(finding, null, 2)}\n` : describeWheel(finding));
}
