import {
  describeFinding,
  filesBeside,
  findingAsJson,
  readSheetFile,
  reduceDaySheet,
} from '../../application/index.ts';
import { fromHere, type Io } from '../io.ts';

export interface FindingOptions {
  json?: boolean;
  residuals?: boolean;
}

/** `lapbench drag day.yaml`: nothing is stored. */
export function drag(io: Io, sheet: string, options: FindingOptions): void {
  const location = fromHere(io, sheet);
  const text = readSheetFile(location, sheet);
  const finding = reduceDaySheet(text, sheet, filesBeside(location));
  io.out(options.json ? findingAsJson(finding, options) : describeFinding(finding, options));
}
