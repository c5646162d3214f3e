/**
 * The sheet's plain data, read for forms. The server has checked what it could; a half-written sheet may
 * lack anything, so every field is looked at before it is used.
 */
export interface FormSetup {
  id: string;
  name: string;
  massOffsetKg: unknown;
  wheelInertiaKgM2: unknown;
  crr: unknown;
}

export interface FormRun {
  file: string;
  setup: string | null;
  from: string | null;
  to: string | null;
  remark: string | null;
}

export interface FormOverrule {
  run: number;
  lap: number;
  use: boolean;
  reason: string | null;
}

export interface SheetForm {
  title: string;
  date: string;
  invented: boolean;
  control: string | null;
  setups: FormSetup[];
  runs: FormRun[];
  overrules: FormOverrule[];
  /** A value of the sheet by a dotted path of names; undefined when it is not there. */
  at: (path: string) => unknown;
}

type Plain = Record<string, unknown>;

const isPlain = (value: unknown): value is Plain =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
const list = (value: unknown): Plain[] => (Array.isArray(value) ? value.filter(isPlain) : []);
const words = (value: unknown): string | null =>
  typeof value === 'string' || typeof value === 'number' ? String(value) : null;

/** Null when the sheet's text could not be read at all. */
export function readForm(sheetData: unknown): SheetForm | null {
  if (!isPlain(sheetData)) return null;
  return {
    title: words(sheetData.title) ?? 'Untitled day',
    date: words(sheetData.date) ?? '',
    invented: sheetData.invented === true,
    control: words(sheetData.control),
    setups: list(sheetData.setups).map((setup) => ({
      id: words(setup.id) ?? '',
      name: words(setup.name) ?? words(setup.id) ?? '',
      massOffsetKg: setup.massOffsetKg,
      wheelInertiaKgM2: setup.wheelInertiaKgM2,
      crr: setup.crr,
    })),
    runs: list(sheetData.runs).map((run) => ({
      file: words(run.file) ?? '',
      setup: words(run.setup),
      from: words(run.from),
      to: words(run.to),
      remark: words(run.remark),
    })),
    overrules: list(sheetData.laps).map((word) => ({
      run: Number(word.run),
      lap: Number(word.lap),
      use: word.use === true,
      reason: words(word.reason),
    })),
    at: (path) =>
      path
        .split('.')
        .reduce<unknown>(
          (value, key) =>
            typeof value === 'object' && value !== null ? (value as Plain)[key] : undefined,
          sheetData,
        ),
  };
}

/** A short id for a setup from its name: letters, digits, hyphens; not one of those in use. */
export function setupIdFor(name: string, taken: readonly string[]): string {
  const plain =
    name
      .normalize('NFKD')
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-+|-+$/g, '')
      .slice(0, 24) || 'setup';
  let id = plain;
  for (let n = 2; taken.includes(id); n++) id = `${plain}-${n}`;
  return id;
}

/** Runs that wait for a setup: the page says so at the runs themselves. */
export const runsWaiting = (form: SheetForm | null): number =>
  form?.runs.filter((run) => run.setup === null).length ?? 0;

/** Whether a problem only repeats what the page says in its own words: no runs yet, or a run without a setup. */
export function saidElsewhere(field: string | undefined, form: SheetForm | null): boolean {
  if (field === undefined || form === null) return false;
  if (field === 'runs') return form.runs.length === 0;
  const run = /^runs\.(\d+)\.setup$/.exec(field)?.[1];
  return run !== undefined && form.runs[Number(run)]?.setup === null;
}
