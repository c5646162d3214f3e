/** A workbench whose answers a test decides, and when they come. */
import { LapbenchError } from '../../src/core/units/index.ts';
import type { FieldDragFinding } from '../../src/application/contract.ts';
import type { FileRef, Workbench } from '../../src/application/workbench.ts';
import { exampleFinding } from './example-finding.ts';

export interface FakeWorkbench extends Workbench {
  /** Sheets reduced so far, in order. */
  reduced: string[];
  /** Reductions wait until this is called, when `held` was asked for. */
  release: () => void;
}

export function fakeWorkbench(
  options: {
    held?: boolean;
    answer?: (sheet: string, files: FileRef[]) => FieldDragFinding;
  } = {},
): FakeWorkbench {
  const waiting: (() => void)[] = [];
  const { answer = (sheet) => exampleFinding({ title: titleOf(sheet) }) } = options;
  const bench: FakeWorkbench = {
    reduced: [],
    release: () => waiting.splice(0).forEach((go) => go()),
    async reduce(sheet, files, _, onProgress) {
      bench.reduced.push(sheet);
      onProgress?.({ stage: 'Estimating the day', fraction: 0.5 });
      if (options.held) await new Promise<void>((resolve) => waiting.push(resolve));
      return answer(sheet, files);
    },
    async look(ref, _, bytesOf) {
      const text = new TextDecoder().decode(bytesOf(ref.sha256));
      if (text.startsWith('bad')) {
        const problem = { code: 'format-damaged' as const, file: ref.file, message: 'Damaged.' };
        return { format: 'unreadable', summary: null, problems: [problem] };
      }
      const summary = {
        startEpochS: null,
        durationS: 600,
        samples: 601,
        channels: ['powerW'],
        lapMarks: 2,
        meanPowerW: 240,
        meanSpeedMps: 11,
      };
      return { format: 'csv', summary, problems: [] };
    },
    async trace(ref, _, bytesOf) {
      if (new TextDecoder().decode(bytesOf(ref.sha256)).startsWith('bad')) {
        throw new LapbenchError({ code: 'format-damaged', file: ref.file, message: 'Damaged.' });
      }
      const none = [null, null];
      return {
        file: ref.file,
        timeS: [0, 1],
        speedMps: [11, 11],
        powerW: [240, 240],
        altitudeM: none,
        airspeedMps: none,
        latDeg: none,
        lonDeg: none,
        lapMarksS: [],
      };
    },
    async close() {},
  };
  return bench;
}

function titleOf(sheet: string): string {
  return sheet.match(/title: (.*)/)?.[1] ?? '';
}
