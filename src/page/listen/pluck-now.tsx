import { useEffect, useRef } from 'preact/hooks';
import { fixed } from '../../figures/index.ts';
import { ProblemList } from '../parts/problems.tsx';
import { again, countedOf, goTo, skip, undo } from './pluck-plan.ts';
import type { PluckSession } from './pluck-plan.ts';
import type { Heard, PluckRecorder } from './pluck-recorder.ts';
import { leverCautions, leverTorqueNm, rings, spokeWords, torqueWords } from './pluck-words.ts';
import { PluckStrip, type StripBeside } from './pluck-strip.tsx';
import { PluckWheel } from './pluck-wheel.tsx';
import { LevelMeter } from './record-level.tsx';
import { begun, hzWords } from './words.ts';

/** One spoke a step: which, where, what was heard. Nothing has to be pressed while all goes well. */
export function PluckNow({
  session,
  recorder,
  beside,
  store,
}: {
  session: PluckSession;
  recorder: PluckRecorder;
  beside: StripBeside | null;
  store: () => void;
}) {
  const { plan, step } = session;
  const { listening, starting, heard, doubtful, problems, remarks, feed } = recorder;
  const area = useRef<HTMLElement>(null);
  const counted = countedOf(step);
  const done = new Set(counted.map(({ spoke }) => spoke));
  const last = counted.at(-1);
  const now = plan.spokes.find(({ spoke }) => spoke === step.now) ?? null;
  const torqueNm = plan.lever ? leverTorqueNm(plan.lever.massKg, plan.lever.lengthM) : 0;
  useEffect(() => area.current?.focus({ preventScroll: true }), [listening]);

  const pressed: Record<string, () => void> = {
    a: () => recorder.change(again),
    s: () => recorder.change(skip),
    u: () => recorder.change(undo),
    t: () => recorder.takeIt(),
  };
  return (
    <div class="pluck-main">
      <section
        class="pluck-now"
        ref={area}
        tabIndex={-1}
        aria-label="The next spoke"
        onKeyDown={(event) => {
          const plain = !event.ctrlKey && !event.metaKey && !event.altKey;
          const act = pressed[event.key.toLowerCase()];
          if (!plain || !act || event.repeat) return;
          event.preventDefault();
          act();
        }}
      >
        <div class="pluck-head">
          <PluckWheel spokes={plan.spokes} now={step.now} done={done} />
          <div class="pluck-next">
            <h2>{headline(done.size, plan.spokes.length, torqueNm)}</h2>
            {now ? (
              <p class="pluck-spoke">
                <span class="unseen">Next: spoke </span>
                <b>{now.spoke}</b>
                {now.side && <span>{now.side}</span>}
              </p>
            ) : (
              <p class="pluck-spoke">
                <span>All plucked</span>
              </p>
            )}
          </div>
        </div>
        {now && (
          <p class="pluck-where">
            Pluck at the mark, between rim and outermost crossing, with a finger on that crossing.
            Let it ring for a second.
          </p>
        )}
        {listening ? (
          <LevelMeter feed={feed} />
        ) : (
          <button
            type="button"
            class="button primary pluck-big"
            disabled={starting}
            onClick={() => void recorder.listen()}
          >
            {starting ? 'Opening the microphone …' : 'Go on listening'}
          </button>
        )}
        <Said
          heard={heard}
          session={session}
          telling={recorder.telling}
          doubtful={doubtful}
          listening={listening}
        />
        <ProblemList problems={[...problems, ...remarks]} label="To mend" />
        {doubtful && (
          <button
            type="button"
            class="button primary pluck-big"
            aria-keyshortcuts="T"
            onClick={recorder.takeIt}
          >
            Take it all the same <kbd>T</kbd>
          </button>
        )}
        <div class="pluck-tools">
          <button
            type="button"
            class="button pluck-big"
            aria-keyshortcuts="A"
            aria-label={last ? `Pluck spoke ${last.spoke} again` : 'Pluck the last spoke again'}
            disabled={!last || last.spoke === step.now}
            onClick={pressed.a}
          >
            {last ? `Again: ${last.spoke}` : 'Again'} <kbd>A</kbd>
          </button>
          <button
            type="button"
            class="button pluck-big"
            aria-keyshortcuts="S"
            disabled={!now}
            onClick={pressed.s}
          >
            Skip <kbd>S</kbd>
          </button>
          <button
            type="button"
            class="button pluck-big"
            aria-keyshortcuts="U"
            disabled={session.past.length === 0}
            onClick={pressed.u}
          >
            Undo <kbd>U</kbd>
          </button>
        </div>
      </section>
      <section class="pluck-result block" aria-label="Plucked so far">
        <h2>Plucked so far</h2>
        <PluckStrip
          spokes={plan.spokes}
          pitches={counted}
          torqueNm={torqueNm}
          beside={beside}
          now={step.now}
        />
        <ol class="pluck-all" aria-label="All spokes: press one to pluck it next">
          {plan.spokes.map((one) => {
            const own = counted.find(({ spoke }) => spoke === one.spoke);
            const skipped = step.skipped.includes(one.spoke);
            const said = own ? fixed(own.hz, 0) : skipped ? 'skipped' : '–';
            return (
              <li key={one.spoke}>
                <button
                  type="button"
                  class={`spoke-read ${one.spoke === step.now ? 'pluck-is-now' : ''}`}
                  aria-current={one.spoke === step.now ? 'step' : undefined}
                  aria-label={`${begun(spokeWords(one))}: ${own ? `${fixed(own.hz, 0)} hertz` : skipped ? 'skipped' : 'not plucked'}. Pluck it next`}
                  onClick={() => {
                    recorder.change((before) => goTo(before, one.spoke));
                    area.current?.focus();
                  }}
                >
                  <span>
                    {one.spoke} {one.side?.slice(0, 1).toUpperCase()}
                  </span>
                  <b>{said}</b>
                </button>
              </li>
            );
          })}
        </ol>
        <div class="pluck-ends">
          <button
            type="button"
            class={`button pluck-big ${now ? '' : 'primary'}`}
            disabled={counted.length === 0}
            onClick={store}
          >
            {now ? `Stop here and store ${counted.length}` : `Store these ${counted.length} plucks`}
          </button>
          {listening && (
            <button type="button" class="button pluck-big" onClick={recorder.pause}>
              Pause
            </button>
          )}
        </div>
        {!recorder.durable && (
          <p class="field-wrong">
            This browser keeps nothing: the plucks are lost when the page is closed before they are
            stored.
          </p>
        )}
        {plan.lever && (
          <ul class="pluck-cautions" aria-label="Cautions">
            {leverCautions.map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ul>
        )}
      </section>
    </div>
  );
}

const headline = (done: number, of: number, torqueNm: number): string =>
  `${begun(torqueWords(torqueNm))}: ${done} of ${of} plucked`;

/** What was heard last, in words; spoken as it comes. */
function Said({
  heard,
  session,
  telling,
  doubtful,
  listening,
}: {
  heard: Heard | null;
  session: PluckSession;
  telling: boolean;
  doubtful: boolean;
  listening: boolean;
}) {
  const { kind, head, rest } = listening
    ? saidOf(heard, session, doubtful)
    : { kind: 'quiet', head: 'Not listening.', rest: 'What was plucked is kept.' };
  return (
    <div class={`pluck-said pluck-said-${kind}`} aria-busy={telling}>
      <div role="status" aria-atomic="true">
        <p class="pluck-heard">{head}</p>
        <p>{rest}</p>
      </div>
    </div>
  );
}

function saidOf(
  heard: Heard | null,
  { plan, step }: PluckSession,
  doubtful: boolean,
): { kind: 'quiet' | 'good' | 'bad'; head: string; rest: string } {
  const next = plan.spokes.find(({ spoke }) => spoke === step.now);
  const then = next ? `Next: ${spokeWords(next)}.` : 'All are plucked: store them.';
  if (heard === null || heard.verdict.kind === 'nothing')
    return { kind: 'quiet', head: next ? 'Listening.' : '', rest: then };
  const { spoke, verdict } = heard;
  if (verdict.kind === 'tap')
    return {
      kind: 'bad',
      head: 'A tap, not a pluck: it does not count.',
      rest: `${begun(verdict.why)}. Pluck spoke ${spoke} once more.`,
    };
  const q = verdict.q === null ? '' : `, Q ${fixed(verdict.q, 0)}`;
  const head = `Spoke ${spoke}: ${hzWords(verdict.hz, verdict.ci95)}`;
  if (doubtful)
    return {
      kind: 'bad',
      head: `${head}?`,
      rest: `${begun(verdict.why)}. Pluck it once more, or take it.`,
    };
  const counts = step.taken.some((one) => one.spoke === spoke && one.hz === verdict.hz && !one.out);
  if (!counts) return { kind: 'quiet', head: 'Listening.', rest: then };
  return { kind: 'good', head, rest: `It ${rings(verdict.q)}${q}. ${then}` };
}
