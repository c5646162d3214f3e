import { useEffect, useState } from 'preact/hooks';
import type { SoundSummary } from '../../application/contract.ts';
import { listSounds, problemsOf } from '../api.ts';
import { useNotices } from '../parts/notices.tsx';
import { listenHref } from '../route.ts';
import type { PluckPlan } from './pluck-plan.ts';
import { addToNoise } from './pluck-store.ts';
import { PluckStrip, useBeside } from './pluck-strip.tsx';
import { leverTorqueNm } from './pluck-words.ts';

export interface StoredPlucks {
  id: string;
  plan: PluckPlan;
  pitches: readonly { spoke: number; hz: number }[];
}

/** After the last pluck: what there is now, and what to do next. */
export function PlucksStored({
  id,
  plan,
  pitches,
  more,
}: StoredPlucks & { more: (torque: boolean) => void }) {
  const beside = useBeside(plan.beside);
  const [noise, setNoise] = useState(plan.noise);
  const { lever } = plan;
  return (
    <section class="block pluck-stored" aria-label="Stored">
      <h2 class="sentence">
        {pitches.length} {pitches.length === 1 ? 'spoke' : 'spokes'} stored
        {noise === null ? '.' : ', and laid beside the noise that they may explain.'}
      </h2>
      {lever === null && (
        <p>Plucked once more under torque, they tell which of them lose tension under braking.</p>
      )}
      <div class="actions">
        <a class="button primary pluck-big" href={listenHref(id)}>
          See what was heard
        </a>
        {lever === null && (
          <button type="button" class="button pluck-big" onClick={() => more(true)}>
            Go on under torque
          </button>
        )}
        <button type="button" class="button pluck-big" onClick={() => more(false)}>
          Another wheel
        </button>
        {noise !== null && (
          <a class="button pluck-big" href={listenHref(noise)}>
            To the noise
          </a>
        )}
      </div>
      {noise === null && <BelongTo id={id} done={setNoise} />}
      <PluckStrip
        spokes={plan.spokes}
        pitches={pitches}
        torqueNm={lever ? leverTorqueNm(lever.massKg, lever.lengthM) : 0}
        beside={beside}
      />
    </section>
  );
}

/** A howl that the plucks may explain, where one is stored. */
function BelongTo({ id, done }: { id: string; done: (noise: string) => void }) {
  const { complain } = useNotices();
  const [noises, setNoises] = useState<SoundSummary[]>([]);
  const [chosen, setChosen] = useState('');
  useEffect(() => {
    void listSounds().then(
      (all) => setNoises(all.filter(({ kind }) => kind === 'noise')),
      () => undefined,
    );
  }, []);
  if (noises.length === 0) return null;
  const add = async () => {
    try {
      await addToNoise(chosen, id);
      done(chosen);
    } catch (error) {
      complain(problemsOf(error));
    }
  };
  return (
    <div class="inline-form">
      <div class="field">
        <label for="pluck-belongs">For the noise of</label>
        <select
          id="pluck-belongs"
          value={chosen}
          onChange={(event) => setChosen(event.currentTarget.value)}
        >
          <option value="">None yet</option>
          {noises.map(({ id: noise, title, date }) => (
            <option key={noise} value={noise}>
              {title}, {date}
            </option>
          ))}
        </select>
      </div>
      <button type="button" class="button" disabled={chosen === ''} onClick={() => void add()}>
        Lay them beside it
      </button>
    </div>
  );
}
