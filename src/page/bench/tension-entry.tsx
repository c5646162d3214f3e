import { useEffect, useState } from 'preact/hooks';
import type { BenchView } from '../../application/contract.ts';
import { readShapes } from '../api.ts';
import { useNotices } from '../parts/notices.tsx';
import { readNumber } from '../parts/typed-number.ts';
import { EntryPad } from './entry-pad.tsx';
import { nextSpoke, sideOf } from './next-spoke.ts';
import type { KnownSpokes, Side } from './next-spoke.ts';
import {
  readReadings,
  takesKeys,
  withChanged,
  without,
  withoutLast,
  withReading,
} from './readings.ts';
import { readAs } from './tension-words.ts';
import type { ItemWork } from './use-item.ts';

type Item = Extract<BenchView, { kind: 'tension' }>;
type Row = Record<string, string>;
const needed = ['spoke', 'side', 'reading'];

/** The spokes of the wheel sheet named; null without one, or while it is fetched. */
export function useKnownSpokes(wheel: string | null): KnownSpokes {
  const [known, setKnown] = useState<{ of: string; spokes: KnownSpokes } | null>(null);
  useEffect(() => {
    if (wheel === null) return;
    void readShapes(wheel).then(
      ({ spokes }) => setKnown({ of: wheel, spokes }),
      // Without the wheel's own order the sides are suggested from the readings.
      () => undefined,
    );
  }, [wheel]);
  return known && known.of === wheel ? known.spokes : null;
}

/** One spoke a step; with `again`, that spoke is read anew and its old readings go. */
export function TensionEntry({
  item,
  work,
  again,
  leave,
}: {
  item: Item;
  work: ItemWork;
  again: number | null;
  leave: () => void;
}) {
  const known = useKnownSpokes(item.options.wheel);
  const readings = readReadings(work.input);
  if (!takesKeys(readings, needed)) {
    return (
      <p>
        These readings have other columns than <code>{needed.join(', ')}</code>; add to them as
        text.
      </p>
    );
  }
  const shared = { item, work, rows: readings.rows, known };
  return again === null ? (
    <NextSpoke key="next" {...shared} />
  ) : (
    <SpokeAgain key={`again-${again}`} {...shared} spoke={again} leave={leave} />
  );
}

interface Shared {
  item: Item;
  work: ItemWork;
  rows: Row[];
  known: KnownSpokes;
}

function NextSpoke({ item, work, rows, known }: Shared) {
  const next = nextSpoke(rows, known);
  const last = rows.at(-1) ?? null;
  const { unit } = readAs[item.options.as];
  return (
    <EntryPad
      name={item.id}
      heading={`Reading ${rows.length + 1}`}
      note={({ spoke, side }) => `Spoke ${spoke}, ${side}`}
      detail={[
        next.roundDone
          ? 'All spokes are read. Reading them once more shows how well a reading repeats.'
          : known && `${readCount(rows)} of ${known.length} spokes are read.`,
        last && `Before: spoke ${last.spoke}, ${last.reading}${unit ? ` ${unit}` : ''}.`,
      ]
        .filter(Boolean)
        .join(' ')}
      fields={[{ name: 'spoke', label: 'Spoke, from the valve', suggested: next.spoke }]}
      choice={sideChoice(next.side)}
      read={{ name: 'reading', ...readAs[item.options.as], suggested: '' }}
      signed={false}
      extra={[
        {
          text: 'Skip',
          run: (values) => {
            const passed = nextSpoke([...rows, { spoke: values.spoke, side: values.side }], known);
            return { spoke: passed.spoke, side: passed.side };
          },
        },
      ]}
      canUndo={last !== null}
      save={(values) => {
        const row = checkedRow(values);
        if (typeof row === 'string') return row;
        void work.change({ input: withReading(work.input, row) });
        return null;
      }}
      undo={() => {
        if (last) void work.change({ input: withoutLast(work.input) });
        return last;
      }}
    />
  );
}

function SpokeAgain({
  item,
  work,
  rows,
  known,
  spoke,
  leave,
}: Shared & { spoke: number; leave: () => void }) {
  const { say } = useNotices();
  const places = rows.flatMap((row, i) => (Number(row.spoke) === spoke ? [i] : []));
  const { unit } = readAs[item.options.as];
  const was = places.map((i) => `${rows[i].reading}${unit ? ` ${unit}` : ''}`).join(', ');
  const put = (input: string, told: string) => {
    const before = work.input;
    void work.change({ input });
    say(told, { label: 'Undo', run: () => void work.change({ input: before }) });
    leave();
  };
  return (
    <EntryPad
      name={`${item.id}:spoke-${spoke}`}
      heading={places.length > 0 ? 'Read it again' : 'A spoke not read yet'}
      note={(values) => `Spoke ${spoke}, ${values.side}`}
      detail={was === '' ? undefined : `It was ${was}.`}
      fields={[]}
      choice={sideChoice(sideOf(spoke, rows, known))}
      read={{ name: 'reading', ...readAs[item.options.as], suggested: '' }}
      signed={false}
      actions={[
        { text: 'Leave it', run: leave },
        ...(places.length > 0
          ? [
              {
                text: 'Take it out',
                run: () => put(without(work.input, places), `Spoke ${spoke} is taken out.`),
              },
            ]
          : []),
      ]}
      saveText="Save reading"
      save={(values) => {
        const row = checkedRow({ ...values, spoke: String(spoke) });
        if (typeof row === 'string') return row;
        const [first, ...others] = places;
        put(
          first === undefined
            ? withReading(work.input, row)
            : without(withChanged(work.input, first, row), others),
          `Spoke ${spoke} is read anew.`,
        );
        return null;
      }}
    />
  );
}

const readCount = (rows: readonly Row[]): number => new Set(rows.map((row) => row.spoke)).size;

const sideChoice = (suggested: Side) => ({
  name: 'side',
  label: 'Side of the wheel',
  suggested,
  options: [
    { value: 'left', text: 'Left' },
    { value: 'right', text: 'Right' },
  ],
});

/** The row to store, or what is wrong with it. */
function checkedRow(values: Row): Row | string {
  const spoke = readNumber(values.spoke.trim());
  if (!Number.isInteger(spoke) || spoke < 1) return 'Give the number of the spoke, from 1.';
  const reading = readNumber(values.reading.trim());
  if (!Number.isFinite(reading)) return 'Give the reading, a number.';
  if (reading < 0) return 'A reading is zero or more.';
  return { ...values, spoke: String(spoke), reading: String(reading) };
}
