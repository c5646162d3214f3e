import { useEffect, useState } from 'preact/hooks';
import type { BenchSummary, DaySummary, SetupBench } from '../../application/contract.ts';
import { daysWithSetup, readSetupBench } from '../api.ts';
import { benchHref, dayHref } from '../route.ts';
import { kindNames } from './words.ts';

/** Days shown beside a bench item: the newest. */
const mostDays = 6;

/** What the bench says of the setups of a day; asked again when the day changes. Empty until it is known. */
export function useSetupBench(dayId: string, changedAt: string | undefined): SetupBench[] {
  const [setups, setSetups] = useState<SetupBench[]>([]);
  useEffect(() => {
    if (changedAt === undefined) return;
    let current = true;
    // A day that cannot be asked about the bench says so at its other parts.
    void readSetupBench(dayId).then(
      (next) => current && setSetups(next),
      () => undefined,
    );
    return () => {
      current = false;
    };
  }, [dayId, changedAt]);
  return setups;
}

/** The days on which an item's setup was ridden; nothing without one. */
export function RiddenOn({ setup }: { setup: string }) {
  const [days, setDays] = useState<DaySummary[]>([]);
  useEffect(() => {
    let current = true;
    setDays([]);
    if (setup.trim() !== '')
      void daysWithSetup(setup).then(
        (next) => current && setDays(next),
        () => undefined,
      );
    return () => {
      current = false;
    };
  }, [setup]);
  if (days.length === 0) return null;
  return (
    <div class="block">
      <h3>Ridden on</h3>
      <ul class="setup-bench" aria-label="Days with this setup">
        {days.slice(0, mostDays).map(({ id, title, date, headline }) => (
          <li key={id}>
            <a class="bench-link" href={dayHref(id)}>
              <b>{title}</b>
              <time dateTime={date}>{date}</time>
              <span class="bench-says">{headline}</span>
            </a>
          </li>
        ))}
      </ul>
    </div>
  );
}

/** Links to the bench items of one setup, each with its result in a sentence. */
export function BenchLinks({ items, of }: { items: readonly BenchSummary[]; of: string }) {
  if (items.length === 0) return null;
  return (
    <ul class="setup-bench" aria-label={`From the bench: ${of}`}>
      {items.map(({ id, kind, title, headline }) => (
        <li key={id}>
          <a class="bench-link" href={benchHref(id)}>
            <b>{title}</b>
            <span class="tag">{kindNames[kind]}</span>
            <span class="bench-says">{headline}</span>
          </a>
        </li>
      ))}
    </ul>
  );
}
