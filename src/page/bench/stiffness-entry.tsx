import { thin } from '../../figures/index.ts';
import type { BenchView } from '../../application/contract.ts';
import { keepText } from '../parts/kept-text.ts';
import { useNotices } from '../parts/notices.tsx';
import { readNumber } from '../parts/typed-number.ts';
import { EntryPad } from './entry-pad.tsx';
import { nextPosition, nextRemount, nextStiffness } from './next-reading.ts';
import {
  readReadings,
  takesKeys,
  withChanged,
  without,
  withoutLast,
  withReading,
} from './readings.ts';
import { inLoadUnit, seriesName, whatToDo } from './stiffness-words.ts';
import type { ItemWork } from './use-item.ts';

type Item = Extract<BenchView, { kind: 'stiffness' }>;
type Row = Record<string, string>;
const needed = ['remount', 'direction', 'load_n', 'deflection_mm'];

/** One reading a step; with `editing`, an old one is changed in the same place. */
export function StiffnessEntry({
  item,
  work,
  editing,
  leave,
}: {
  item: Item;
  work: ItemWork;
  /** Reading to change, from 0; null: the next one is entered. */
  editing: number | null;
  leave: () => void;
}) {
  const readings = readReadings(work.input);
  if (!takesKeys(readings, needed)) {
    return (
      <p>
        These readings have other columns than <code>{needed.join(', ')}</code>; add to them as
        text.
      </p>
    );
  }
  return editing !== null && editing < readings.rows.length ? (
    <OldReading
      key={`old-${editing}`}
      item={item}
      work={work}
      rows={readings.rows}
      at={editing}
      leave={leave}
    />
  ) : (
    <NextReading key="next" item={item} work={work} rows={readings.rows} />
  );
}

function NextReading({ item, work, rows }: { item: Item; work: ItemWork; rows: Row[] }) {
  const { preload, load, unit } = inLoadUnit(item.options);
  const next = nextStiffness(rows, { preload, load });
  const last = rows.at(-1) ?? null;
  const begin = next.at === 1;
  const fields = { remount: next.remount, position_deg: next.position, load_n: next.load };
  /** Puts a series at its beginning. */
  const from = (place: Row): Row => {
    const [first] = rows;
    const load_n = first?.load_n ?? '0';
    return { ...place, direction: 'load', load_n, deflection_mm: load_n === '0' ? '0' : '' };
  };
  const turn = (values: Row): Row =>
    from({ remount: values.remount, position_deg: nextPosition(values.position_deg) });
  const remount = (values: Row): Row =>
    from({
      remount: nextRemount(values.remount),
      position_deg: rows[0]?.position_deg ?? values.position_deg,
    });
  return (
    <EntryPad
      name={item.id}
      heading={`Reading ${rows.length + 1}`}
      note={(values) => whatToDo(values, last, preload, unit)}
      detail={(values) =>
        [
          values.load_n === next.load && values.direction === next.direction
            ? `${seriesName(values)}, step ${next.at} of ${next.of}.`
            : `${seriesName(values)}.`,
          last && !begin
            ? `Before: ${last.deflection_mm}${thin}mm at ${last.load_n}${thin}${unit}.`
            : '',
        ].join('\n')
      }
      fields={[
        { name: 'load_n', label: 'Load', unit, suggested: fields.load_n },
        { name: 'position_deg', label: 'Position', unit: '°', suggested: fields.position_deg },
        { name: 'remount', label: 'Remount', suggested: fields.remount },
      ]}
      choice={way(next.direction)}
      read={{ ...deflection, suggested: begin && next.load === '0' ? '0' : '' }}
      signed
      ask={
        next.open && last
          ? {
              question: `${seriesName(last)} is done. What comes next?`,
              answers: [
                {
                  text: `Turn it to ${nextPosition(last.position_deg)}°, still mounted`,
                  run: () => turn(last),
                },
                { text: `Mount it afresh: remount ${next.remount}`, run: () => remount(last) },
              ],
            }
          : undefined
      }
      extra={[
        {
          text: 'Skip',
          run: (values) => {
            const after = nextStiffness([...rows, values], { preload, load });
            const { direction, load: load_n, position: position_deg, remount: name } = after;
            const zero = after.at === 1 && load_n === '0';
            return {
              remount: name,
              position_deg,
              direction,
              load_n,
              deflection_mm: zero ? '0' : '',
            };
          },
        },
      ]}
      shifts={[
        { text: 'Next position', run: (values) => turn(values) },
        { text: 'New remount', run: (values) => remount(values) },
      ]}
      canUndo={rows.length > 0}
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

function OldReading({
  item,
  work,
  rows,
  at,
  leave,
}: {
  item: Item;
  work: ItemWork;
  rows: Row[];
  at: number;
  leave: () => void;
}) {
  const { say } = useNotices();
  const { unit } = inLoadUnit(item.options);
  const row = rows[at];
  const name = `${item.id}:${at}`;
  const drop = () => {
    keepText(`${name}:typed`, null);
    leave();
  };
  const put = (input: string, told: string) => {
    const before = work.input;
    void work.change({ input });
    say(told, { label: 'Undo', run: () => void work.change({ input: before }) });
    drop();
  };
  return (
    <EntryPad
      name={name}
      heading={`Change reading ${at + 1}`}
      detail={`It is ${row.deflection_mm} mm at ${row.load_n} ${unit}, ${seriesName(row).toLowerCase()}.`}
      fields={[
        { name: 'load_n', label: 'Load', unit, suggested: row.load_n },
        { name: 'position_deg', label: 'Position', unit: '°', suggested: row.position_deg ?? '' },
        { name: 'remount', label: 'Remount', suggested: row.remount },
      ]}
      choice={way(row.direction === 'unload' ? 'unload' : 'load')}
      read={{ ...deflection, suggested: row.deflection_mm }}
      signed
      openFields
      actions={[
        { text: 'Leave it', run: drop },
        {
          text: 'Take it out',
          run: () => put(without(work.input, [at]), `Reading ${at + 1} is taken out.`),
        },
      ]}
      saveText="Save the change"
      save={(values) => {
        const checked = checkedRow(values);
        if (typeof checked === 'string') return checked;
        put(withChanged(work.input, at, checked), `Reading ${at + 1} is changed.`);
        return null;
      }}
    />
  );
}

const deflection = { name: 'deflection_mm', label: 'Deflection', unit: 'mm' };

const way = (suggested: string) => ({
  name: 'direction',
  label: 'Load on its way',
  suggested,
  options: [
    { value: 'load', text: 'Loading' },
    { value: 'unload', text: 'Unloading' },
  ],
});

/** The row to store, or what is wrong with it. */
function checkedRow(values: Row): Row | string {
  const remount = values.remount.trim();
  if (remount === '' || /[,;"\t]/.test(remount)) return 'Name the remount, by a number or a word.';
  const position = values.position_deg.trim();
  if (position !== '' && !Number.isFinite(readNumber(position)))
    return `"${position}" is not an angle in degrees.`;
  const load = readNumber(values.load_n.trim());
  if (!Number.isFinite(load)) return 'Give the load, a number.';
  const read = readNumber(values.deflection_mm.trim());
  if (!Number.isFinite(read)) return 'Give the deflection in millimetres.';
  return {
    ...values,
    remount,
    position_deg: position.replace(',', '.'),
    load_n: String(load),
    deflection_mm: String(read),
  };
}
