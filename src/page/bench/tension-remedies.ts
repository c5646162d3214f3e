import type { BenchView, Problem } from '../../application/contract.ts';
import { useNotices } from '../parts/notices.tsx';
import type { ProblemAction } from './problem-list.tsx';
import { readReadings, swappedColumns, withExchanged } from './readings.ts';
import type { ItemWork } from './use-item.ts';

type Item = Extract<BenchView, { kind: 'tension' }>;

const units = [
  { unit: 'kgf', text: 'They are kilograms-force' },
  { unit: 'lbf', text: 'They are pounds-force' },
  { unit: 'N', text: 'They are newtons' },
] as const;

/** Buttons that mend what is wrong with readings of spokes; each can be taken back. */
export function useTensionRemedies(item: Item, work: ItemWork, open: (spoke: number) => void) {
  const { say } = useNotices();
  const undoable = async (told: string, change: Parameters<ItemWork['change']>[0]) => {
    const before = { input: work.input, options: { ...item.options } };
    if (!(await work.change(change))) return;
    const back = change.input === undefined ? { options: before.options } : { input: before.input };
    say(told, { label: 'Undo', run: () => void work.change(back) });
  };
  return (problem: Problem): { actions: ProblemAction[]; instead: boolean } => {
    const { field, line } = problem.place ?? {};
    if (problem.code === 'reading-unit' && field === 'unit') {
      const actions = units.map(({ unit, text }) => ({
        text,
        run: () => void undoable('The unit is set.', { options: { unit } }),
      }));
      return { actions, instead: true };
    }
    const swapped = problem.code === 'columns-swapped' ? swappedColumns(problem) : null;
    if (swapped) {
      const input = withExchanged(work.input, ...swapped);
      const run = () => void undoable('The two columns are exchanged.', { input });
      return { actions: [{ text: 'Exchange the two columns', run }], instead: true };
    }
    const { rows, lines } = readReadings(work.input);
    const spoke = line === undefined ? NaN : Number(rows[lines.indexOf(line)]?.spoke);
    const again = Number.isInteger(spoke)
      ? [{ text: `Read spoke ${spoke} again`, run: () => open(spoke) }]
      : [];
    return { actions: again, instead: false };
  };
}
