/**
 * Which days are being reduced, and what came out. Results are kept by what they were made from, so
 * an edit undone brings the old finding back at once. While a day is reduced, only the newest
 * version of its sheet waits: those between are never computed.
 */
import { LapbenchError, type Problem } from '../core/units/index.ts';
import type { FieldDragFinding } from './contract.ts';
import type { DayEvent } from './days-contract.ts';
import { sha256 } from './edges.ts';
import type { BytesOf, FileRef, Workbench } from './workbench.ts';

export type Outcome = { finding: FieldDragFinding } | { problems: readonly Problem[] };

/** All that a finding depends on. */
export interface ReductionInput {
  sheet: string;
  files: FileRef[];
}

/** Name of the method whose findings are at hand; part of every key. */
export const methodName: FieldDragFinding['method'] = 'field-drag 1';

/** What a finding was made from, as one hash: method, sheet, and each recording by name and hash. */
export function findingKey({ sheet, files }: ReductionInput): string {
  const inputs = files.map(({ file, sha256: hash }) => [file, hash]).sort();
  return sha256(JSON.stringify([methodName, sheet, inputs]));
}

/** Findings held in memory; one has some hundred kB. */
const maximumOutcomes = 24;

interface UnderWay {
  key: string;
  done: Promise<Outcome>;
  /** The newest version of the day that came in meanwhile. */
  next: { input: ReductionInput; key: string } | null;
}

export class Reductions {
  private readonly workbench: Workbench;
  private readonly bytesOf: BytesOf;
  private readonly emit: (id: string, event: DayEvent) => void;
  private readonly outcomes = new Map<string, Outcome>();
  private readonly underWay = new Map<string, UnderWay>();

  constructor(workbench: Workbench, bytesOf: BytesOf, emit: (id: string, event: DayEvent) => void) {
    this.workbench = workbench;
    this.bytesOf = bytesOf;
    this.emit = emit;
  }

  /** The outcome for this very input if it is at hand; otherwise null, and a reduction is begun. */
  ask(id: string, input: ReductionInput): Outcome | null {
    const key = findingKey(input);
    const known = this.outcomes.get(key);
    if (known) return known;
    const current = this.underWay.get(id);
    if (!current) this.begin(id, input, key);
    else current.next = current.key === key ? null : { input, key };
    return null;
  }

  /** Waits for the outcome for this very input. */
  async wait(id: string, input: ReductionInput): Promise<Outcome> {
    for (;;) {
      const known = this.ask(id, input);
      if (known) return known;
      await this.underWay.get(id)?.done;
    }
  }

  has(key: string): boolean {
    return this.outcomes.has(key);
  }

  /** Puts a finding made earlier (and kept) at hand. */
  know(key: string, outcome: Outcome): void {
    this.outcomes.delete(key);
    this.outcomes.set(key, outcome);
    const oldest = this.outcomes.keys().next();
    if (this.outcomes.size > maximumOutcomes && !oldest.done) this.outcomes.delete(oldest.value);
  }

  /** Makes the next `ask` compute afresh. */
  forget(key: string): void {
    this.outcomes.delete(key);
  }

  private begin(id: string, input: ReductionInput, key: string): void {
    this.emit(id, { name: 'reducing', data: {} });
    const done = this.compute(id, input).then((outcome) => {
      this.know(key, outcome);
      const { next } = this.underWay.get(id)!;
      this.underWay.delete(id);
      if (!next) this.announce(id, outcome);
      else {
        const known = this.ask(id, next.input);
        if (known) this.announce(id, known);
      }
      return outcome;
    });
    this.underWay.set(id, { key, done, next: null });
  }

  private async compute(id: string, { sheet, files }: ReductionInput): Promise<Outcome> {
    try {
      const finding = await this.workbench.reduce(sheet, files, this.bytesOf, (progress) =>
        this.emit(id, { name: 'progress', data: progress }),
      );
      return { finding };
    } catch (error) {
      if (error instanceof LapbenchError) return { problems: error.problems };
      return {
        problems: [
          {
            code: 'internal',
            message: `Lapbench made a mistake while reducing the day: ${firstLine(error)}`,
            remedy: 'Nothing stored is lost. Please report what you did.',
          },
        ],
      };
    }
  }

  private announce(id: string, outcome: Outcome): void {
    if ('finding' in outcome) this.emit(id, { name: 'finding', data: outcome });
    else this.emit(id, { name: 'problem', data: { problems: [...outcome.problems] } });
  }
}

function firstLine(error: unknown): string {
  const text = error instanceof Error ? error.message : String(error);
  return text.split('\n')[0];
}
