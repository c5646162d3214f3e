import { useCallback, useEffect, useMemo, useState } from 'preact/hooks';
import type { DaySummary, Problem } from '../../application/contract.ts';
import { createDay, demoDay, listDays, problemsOf, removeDay, restoreDay } from '../api.ts';
import { AreaLinks } from '../parts/area-links.tsx';
import { keepText, useKeptText } from '../parts/kept-text.ts';
import { useNotices } from '../parts/notices.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { RemovedList } from '../parts/removed-list.tsx';
import { dayHref } from '../route.ts';

export function DaysScreen() {
  const { say, complain } = useNotices();
  const [days, setDays] = useState<DaySummary[] | null>(null);
  const [removed, setRemoved] = useState<DaySummary[]>([]);
  const [problems, setProblems] = useState<Problem[]>([]);
  const [wanted, setWanted] = useState('');

  const load = useCallback(async () => {
    try {
      const [present, gone] = await Promise.all([listDays(), listDays(true)]);
      setDays(present);
      setRemoved(gone);
      setProblems([]);
    } catch (error) {
      setProblems(problemsOf(error));
    }
  }, []);
  useEffect(() => {
    document.title = 'Days · Lapbench';
    void load();
  }, [load]);

  const restore = async (day: DaySummary) => {
    try {
      await restoreDay(day.id);
      say(`"${day.title}" is back.`);
    } catch (error) {
      complain(problemsOf(error));
    }
    await load();
  };
  const remove = async (day: DaySummary) => {
    try {
      await removeDay(day.id);
      say(`"${day.title}" is removed.`, { label: 'Undo', run: () => void restore(day) });
    } catch (error) {
      complain(problemsOf(error));
    }
    await load();
  };
  const openDemo = async () => {
    try {
      window.location.hash = dayHref((await demoDay()).id);
    } catch (error) {
      complain(problemsOf(error));
    }
  };

  const found = useMemo(() => {
    const parts = wanted.toLowerCase().split(/\s+/).filter(Boolean);
    return (days ?? []).filter((day) => {
      const text = `${day.title} ${day.date} ${day.headline}`.toLowerCase();
      return parts.every((part) => text.includes(part));
    });
  }, [days, wanted]);

  return (
    <div class="days">
      <header class="days-head">
        <h1>Test days</h1>
        <AreaLinks here="days" />
      </header>
      <main id="main" tabIndex={-1}>
        <NewDay />
        <ProblemList problems={problems} />
        {days === null && problems.length === 0 && <p role="status">Reading the library …</p>}
        {days !== null && days.length === 0 && <Empty openDemo={() => void openDemo()} />}
        {days !== null && days.length > 0 && (
          <section aria-label="Days in the library">
            <div class="search">
              <label for="search">Search days</label>
              <input
                id="search"
                type="search"
                value={wanted}
                autocomplete="off"
                onInput={(event) => setWanted(event.currentTarget.value)}
              />
              <p role="status" class="search-count">
                {wanted.trim() === ''
                  ? `${days.length} ${days.length === 1 ? 'day' : 'days'}`
                  : `${found.length} of ${days.length}`}
              </p>
            </div>
            <ul class="day-list">
              {found.map((day) => (
                <li key={day.id}>
                  <DayLine day={day} />
                  <button
                    type="button"
                    class="button plain"
                    aria-label={`Remove "${day.title}"`}
                    onClick={() => void remove(day)}
                  >
                    Remove
                  </button>
                </li>
              ))}
            </ul>
            {!days.some((day) => day.invented) && (
              <button type="button" class="button" onClick={() => void openDemo()}>
                Open the demo day
              </button>
            )}
          </section>
        )}
        <RemovedList title="Removed days" removed={removed} restore={restore} />
      </main>
    </div>
  );
}

function DayLine({ day }: { day: DaySummary }) {
  const count = (n: number, one: string) => `${n} ${one}${n === 1 ? '' : 's'}`;
  return (
    <a class="day-line" href={dayHref(day.id)}>
      <b class="day-title">{day.title}</b>
      <span class="day-headline">{day.headline}</span>
      <span class="day-facts">
        <span>
          <time dateTime={day.date}>{day.date}</time>, {count(day.setups, 'setup')},{' '}
          {count(day.runs, 'run')}
        </span>
        {day.invented && <span class="tag">Invented data</span>}
        <span class="tag">{day.state === 'kept' ? 'Kept' : 'Draft'}</span>
      </span>
    </a>
  );
}

function today(): string {
  const now = new Date();
  const two = (n: number) => String(n).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

function NewDay() {
  const { complain } = useNotices();
  const title = useKeptText('new-day-title', '');
  const [date, setDate] = useState(today);
  const [busy, setBusy] = useState(false);
  const create = async (event: Event) => {
    event.preventDefault();
    setBusy(true);
    try {
      const day = await createDay({ title: title.text.trim() || `Test day ${date}`, date });
      keepText('new-day-title', null);
      window.location.hash = dayHref(day.id, 'runs');
    } catch (error) {
      complain(problemsOf(error));
      setBusy(false);
    }
  };
  return (
    <form class="new-day" aria-label="New day" onSubmit={(event) => void create(event)}>
      <div class="field grow">
        <label for="new-title">New day: road or purpose</label>
        <input
          id="new-title"
          value={title.text}
          maxLength={200}
          autocomplete="off"
          onInput={(event) => title.set(event.currentTarget.value)}
        />
      </div>
      <div class="field">
        <label for="new-date">Date</label>
        <input
          id="new-date"
          type="date"
          value={date}
          required
          onInput={(event) => setDate(event.currentTarget.value)}
        />
      </div>
      <button class="button primary" disabled={busy}>
        {busy ? 'Making the day …' : 'Start the day'}
      </button>
    </form>
  );
}

/** What an empty library says: the job in three steps, and a day on which to try them. */
function Empty({ openDemo }: { openDemo: () => void }) {
  return (
    <section class="empty">
      <h2>From ride files to a comparison you can stand behind</h2>
      <ol>
        <li>
          <b>Ride</b> laps of one road with a power meter, on each setup at least twice, control
          among them.
        </li>
        <li>
          <b>Add</b> the recordings (FIT, TCX, GPX or CSV) and say which setup each one was.
        </li>
        <li>
          <b>Read</b> how each setup differs from control, with its 95 % interval, or that this day
          could not tell.
        </li>
      </ol>
      <p>The demo day has all of it done, on invented data: open it and change what you like.</p>
      <button type="button" class="button primary" onClick={openDemo}>
        Open the demo day
      </button>
    </section>
  );
}
