import { useEffect, useState } from 'preact/hooks';
import type { Problem } from '../../application/contract.ts';
import { problemsOf } from '../api.ts';
import { useNotices } from '../parts/notices.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { listenHref } from '../route.ts';
import { PluckNow } from './pluck-now.tsx';
import { countedOf } from './pluck-plan.ts';
import { usePluckRecorder } from './pluck-recorder.ts';
import { keepForTorque, PluckSetup } from './pluck-setup.tsx';
import { addToNoise, layOnSpokes, storePlucks } from './pluck-store.ts';
import { PlucksStored } from './pluck-stored.tsx';
import type { StoredPlucks } from './pluck-stored.tsx';
import { useBeside } from './pluck-strip.tsx';
import { timeOf } from './record-wav.ts';

/** The guided session in the workshop: spoke by spoke, until all are stored as one sound. */
export function PluckSession({ noise }: { noise: string | null }) {
  const recorder = usePluckRecorder();
  const { kept } = recorder;
  const { say } = useNotices();
  const [share, setShare] = useState<number | null>(null);
  const [problems, setProblems] = useState<Problem[]>([]);
  const [stored, setStored] = useState<StoredPlucks | null>(null);
  const [away, setAway] = useState(false);
  const beside = useBeside(kept?.data.plan.beside ?? null);
  useEffect(() => {
    document.title = 'Pluck spokes · Lapbench';
  }, []);

  const store = async () => {
    if (!kept) return;
    recorder.pause();
    setProblems([]);
    setShare(0);
    try {
      const { plan } = kept.data;
      const id = kept.data.sound ?? (await storePlucks(kept, setShare));
      // From here on the server has the sound: a reload goes on with this one and makes no second.
      if (kept.data.sound === null) recorder.change((session) => ({ ...session, sound: id }));
      setShare(null);
      setAway(true);
      await layOnSpokes(id, kept.data);
      if (plan.noise !== null) await addToNoise(plan.noise, id);
      await recorder.drop();
      setStored({ id, plan, pitches: countedOf(kept.data.step) });
      say('The plucks are stored.');
    } catch (error) {
      setProblems(problemsOf(error));
    }
    setShare(null);
    setAway(false);
  };

  const throwAway = async () => {
    await recorder.drop();
    say('The session is thrown away; what was stored before stays.');
  };

  return (
    <div class="bench pluck">
      <header class="day-head bench-head">
        <a class="button back" href={listenHref()}>
          Listen
        </a>
        <div class="day-name">
          <h1>Pluck spokes</h1>
        </div>
      </header>
      <main id="main" tabIndex={-1} class="pluck-screen">
        <ProblemList problems={problems} label="Why it is not stored yet" />
        {(share !== null || away) && (
          <p role="status">
            {away ? 'Being listened to once more, as a whole …' : 'Being stored …'}
            <progress
              max={1}
              value={away ? undefined : (share ?? 0)}
              aria-label="Plucks being stored"
            />
          </p>
        )}
        {kept === null && stored === null && (
          <PluckSetup
            noise={noise}
            begin={(plan) => void recorder.begin(plan)}
            starting={recorder.starting}
            problems={recorder.problems}
          />
        )}
        {kept && kept.data.sound === null && share === null && !away && (
          <>
            <PluckNow
              session={kept.data}
              recorder={recorder}
              beside={beside}
              store={() => void store()}
            />
            <ThrowAway
              startedAt={kept.startedAt}
              count={kept.data.step.taken.length}
              throwAway={() => void throwAway()}
            />
          </>
        )}
        {kept && kept.data.sound !== null && !away && (
          <section class="block">
            <p>These plucks are stored; the spokes have still to be laid on what was heard.</p>
            <div class="actions">
              <button type="button" class="button primary pluck-big" onClick={() => void store()}>
                Do it now
              </button>
            </div>
          </section>
        )}
        {stored && (
          <PlucksStored
            {...stored}
            more={(torque) => {
              if (torque) keepForTorque(stored.plan, stored.id);
              setStored(null);
            }}
          />
        )}
      </main>
    </div>
  );
}

/** Two presses, as it cannot be undone. */
function ThrowAway({
  startedAt,
  count,
  throwAway,
}: {
  startedAt: number;
  count: number;
  throwAway: () => void;
}) {
  const [sure, setSure] = useState(false);
  const words = `this session of ${timeOf(new Date(startedAt)).slice(0, 5)} with ${count} ${count === 1 ? 'pluck' : 'plucks'}`;
  return (
    <p class="pluck-away">
      {sure ? (
        <>
          <button type="button" class="button" onClick={throwAway}>
            Yes, throw away {words}
          </button>
          <button type="button" class="button plain" onClick={() => setSure(false)}>
            Keep it
          </button>
        </>
      ) : (
        <button type="button" class="button plain" onClick={() => setSure(true)}>
          Throw away {words}
        </button>
      )}
    </p>
  );
}
