import { useEffect, useState } from 'preact/hooks';
import type { Problem, SoundSummary } from '../../application/contract.ts';
import { fixed, thin } from '../../figures/index.ts';
import { createSound, listSounds, problemsOf, readShapes, sendSound } from '../api.ts';
import { ItemChoice, useOthers } from '../bench/other-items.tsx';
import { Segments } from '../bench/segments.tsx';
import { keepText, keptText } from '../parts/kept-text.ts';
import { ProblemList } from '../parts/problems.tsx';
import { readNumber } from '../parts/typed-number.ts';
import { listenHref } from '../route.ts';
import { evenSpokes, spokesOf } from './pluck-plan.ts';
import type { PluckPlan } from './pluck-plan.ts';
import { leverCautions, leverTorqueNm } from './pluck-words.ts';
import { titleOf } from './words.ts';

interface Typed {
  wheel: string | null;
  count: string;
  first: 'left' | 'right' | 'unknown';
  torque: 'free' | 'lever';
  massKg: string;
  lengthM: string;
  offLevelDeg: string;
  noise: string | null;
  beside: string | null;
  setup: string;
}

const blank: Typed = {
  wheel: null,
  count: '28',
  first: 'left',
  torque: 'free',
  massKg: '',
  lengthM: '',
  offLevelDeg: '0',
  noise: null,
  beside: null,
  setup: '',
};

const keptName = 'plucks:plan';

/** For the next session: the same wheel, under torque, beside the plucks just stored. */
export function keepForTorque(plan: PluckPlan, beside: string): void {
  const { wheel, spokes, noise, setup } = plan;
  const first = spokes[0]?.side ?? 'unknown';
  const count = String(spokes.length);
  const typed: Typed = { ...blank, wheel, count, first, torque: 'lever', noise, beside, setup };
  keepText(keptName, JSON.stringify(typed));
}

function useTyped(noise: string | null) {
  const [typed, setTyped] = useState<Typed>(() => {
    try {
      const kept = JSON.parse(keptText(keptName) ?? '{}') as Partial<Typed>;
      return { ...blank, ...kept, noise: noise ?? kept.noise ?? null };
    } catch {
      return { ...blank, noise };
    }
  });
  const put = (change: Partial<Typed>) => {
    const next = { ...typed, ...change };
    keepText(keptName, JSON.stringify(next));
    setTyped(next);
  };
  return [typed, put] as const;
}

/** Torque on the hub as typed: 0 without a lever; what is wrong with it otherwise. */
function leverOf(typed: Typed): { lever: PluckPlan['lever'] } | { wrong: string } {
  if (typed.torque === 'free') return { lever: null };
  const [mass, length, off] = [typed.massKg, typed.lengthM, typed.offLevelDeg].map(readNumber);
  if (!(mass > 0 && mass <= 100)) return { wrong: 'Give the mass of the weight, kg, at most 100.' };
  if (!(length > 0 && length <= 2)) return { wrong: 'Give the length of the lever, m, at most 2.' };
  if (!(Math.abs(off) <= 45)) return { wrong: 'Set the lever level, or at most 45° off.' };
  // What counts is the level distance from the axle to the line of the weight.
  const levelM = length * Math.cos((off * Math.PI) / 180);
  return { lever: { massKg: mass, lengthM: Math.round(levelM * 1e5) / 1e5 } };
}

async function spokesFor(typed: Typed): Promise<PluckPlan['spokes'] | string> {
  if (typed.wheel !== null) return spokesOf(await readShapes(typed.wheel));
  const count = readNumber(typed.count);
  if (!Number.isInteger(count) || count < 4 || count > 200)
    return 'Give the number of spokes, a whole number from 4.';
  return evenSpokes(count, typed.first === 'unknown' ? null : typed.first);
}

/** Which wheel, and how it is held: everything that must be known before the first pluck. */
export function PluckSetup({
  noise,
  begin,
  starting,
  problems,
}: {
  noise: string | null;
  begin: (plan: PluckPlan) => void;
  starting: boolean;
  /** Why the microphone could not be opened. */
  problems: readonly Problem[];
}) {
  const [typed, put] = useTyped(noise);
  const [wrong, setWrong] = useState<string | null>(null);
  const [refused, setRefused] = useState<Problem[]>([]);
  const [sending, setSending] = useState<number | null>(null);
  const wheels = useOthers('wheel', '');
  const sounds = useSounds();
  const lever = leverOf(typed);

  const planned = async (): Promise<PluckPlan | null> => {
    setRefused([]);
    try {
      const spokes = await spokesFor(typed);
      const complaint = 'wrong' in lever ? lever.wrong : typeof spokes === 'string' ? spokes : null;
      setWrong(complaint);
      if (complaint !== null || 'wrong' in lever || typeof spokes === 'string') return null;
      const { wheel, noise: of, setup, beside } = typed;
      return { wheel, spokes, lever: lever.lever, noise: of, setup: setup.trim(), beside };
    } catch (error) {
      setRefused(problemsOf(error));
      return null;
    }
  };
  const start = async () => {
    const plan = await planned();
    if (plan) begin(plan);
  };
  const bring = async (file: File) => {
    const plan = await planned();
    if (!plan) return;
    setSending(0);
    try {
      const { upload } = await sendSound(file, file.name, setSending);
      const options = { wheel: plan.wheel, lever: plan.lever, brakeTorqueNm: 0 };
      const title = titleOf(file.name);
      const { id } = await createSound({
        kind: 'plucks',
        upload,
        title,
        setup: plan.setup,
        options,
      });
      window.location.hash = listenHref(id);
    } catch (error) {
      setRefused(problemsOf(error));
    }
    setSending(null);
  };
  const number = (
    name: 'massKg' | 'lengthM' | 'offLevelDeg' | 'count',
    label: string,
    unit = '',
  ) => (
    <div class="field">
      <label for={`pluck-${name}`}>{label}</label>
      <span class="with-unit">
        <input
          id={`pluck-${name}`}
          class="number"
          inputMode="decimal"
          autocomplete="off"
          value={typed[name]}
          onInput={(event) => put({ [name]: event.currentTarget.value })}
        />
        {unit && <span class="unit">{unit}</span>}
      </span>
    </div>
  );
  return (
    <form
      class="pluck-setup"
      onSubmit={(event) => {
        event.preventDefault();
        void start();
      }}
    >
      <section class="block">
        <h2>The wheel</h2>
        <div class="fields">
          <ItemChoice
            name="pluck-wheel"
            label="Wheel sheet"
            none={wheels?.length === 0 ? 'No wheel sheet on the bench' : 'None: number of spokes'}
            value={typed.wheel}
            items={wheels}
            choose={(wheel) => put({ wheel })}
          />
          {typed.wheel === null && number('count', 'Number of spokes')}
          {typed.wheel === null && (
            <div class="field">
              <label for="pluck-first">First spoke after the valve</label>
              <select
                id="pluck-first"
                value={typed.first}
                onChange={(event) => put({ first: event.currentTarget.value as Typed['first'] })}
              >
                <option value="left">left, then in turn</option>
                <option value="right">right, then in turn</option>
                <option value="unknown">sides not told</option>
              </select>
            </div>
          )}
          <div class="field">
            <label for="pluck-setup-name">Setup it belongs to</label>
            <input
              id="pluck-setup-name"
              autocomplete="off"
              value={typed.setup}
              placeholder="may be left out"
              onInput={(event) => put({ setup: event.currentTarget.value })}
            />
          </div>
        </div>
      </section>
      <section class="block">
        <h2>How it is held</h2>
        <Segments
          name="pluck-torque"
          label="Torque on the hub"
          value={typed.torque}
          options={[
            { value: 'free', text: 'Free' },
            { value: 'lever', text: 'Brake locked, weight on a lever' },
          ]}
          choose={(torque) => put({ torque })}
        />
        {typed.torque === 'lever' && (
          <>
            <p>
              Lock the brake. Fasten a lever to the wheel so that the weight on it turns the wheel
              forwards against the brake, as the road does in braking. Measure from the axle to the
              line of the weight.
            </p>
            <div class="fields">
              {number('massKg', 'Mass of the weight', 'kg')}
              {number('lengthM', 'Length of the lever', 'm')}
              {number('offLevelDeg', 'Lever off level', '°')}
            </div>
            <p class="pluck-torque" role="status">
              {torqueText(typed, lever)}
            </p>
            <ul class="pluck-cautions" aria-label="Cautions">
              {leverCautions.map((caution) => (
                <li key={caution}>{caution}</li>
              ))}
            </ul>
          </>
        )}
      </section>
      <Belonging typed={typed} put={put} sounds={sounds} />
      {wrong !== null && (
        <p class="field-wrong" role="alert">
          {wrong}
        </p>
      )}
      <ProblemList problems={[...problems, ...refused]} label="Why it did not start" />
      <div class="pluck-begin">
        <button type="submit" class="button primary pluck-big" disabled={starting}>
          {starting ? 'Opening the microphone …' : 'Start listening'}
        </button>
        <label class="button file-button pluck-big">
          {sending === null
            ? 'Or choose a recording'
            : `Being copied in: ${Math.floor(100 * sending)}${thin}%`}
          <input
            type="file"
            class="file-input"
            accept="audio/*,video/*"
            disabled={sending !== null}
            onChange={(event) => {
              const [file] = event.currentTarget.files ?? [];
              event.currentTarget.value = '';
              if (file) void bring(file);
            }}
          />
        </label>
      </div>
      <p class="legend">
        The sound stays on this machine. A wheel sheet gives sides and tensions. For a recording
        made elsewhere pluck from the first spoke after the valve, in the direction of rotation,
        each once, a second and a half apart.
      </p>
    </form>
  );
}

function torqueText(typed: Typed, lever: ReturnType<typeof leverOf>): string {
  if ('wrong' in lever || lever.lever === null) return 'Torque: not known yet.';
  const off = readNumber(typed.offLevelDeg);
  const [mass, length] = [readNumber(typed.massKg), readNumber(typed.lengthM)];
  const torque = fixed(leverTorqueNm(mass, length, off), 1);
  const angle = off === 0 ? '' : ` × cos ${fixed(off, 0)}°`;
  return `Torque: ${fixed(mass, 2)}${thin}kg × 9.80665${thin}m/s² × ${fixed(length, 3)}${thin}m${angle} = ${torque}${thin}N${thin}m`;
}

function useSounds(): SoundSummary[] {
  const [sounds, setSounds] = useState<SoundSummary[]>([]);
  useEffect(() => {
    // Without the list nothing can be chosen from it; plucking goes on all the same.
    void listSounds().then(setSounds, () => undefined);
  }, []);
  return sounds;
}

/** Which howl the plucks may explain, and which plucks to lay them beside. */
function Belonging({
  typed,
  put,
  sounds,
}: {
  typed: Typed;
  put: (change: Partial<Typed>) => void;
  sounds: readonly SoundSummary[];
}) {
  const choices = [
    { kind: 'noise', name: 'noise', label: 'For the noise of', none: 'None yet' },
    { kind: 'plucks', name: 'beside', label: 'Shown beside them', none: 'No earlier plucks' },
  ] as const;
  const shown = choices.filter(({ kind }) => sounds.some((one) => one.kind === kind));
  if (shown.length === 0) return null;
  return (
    <section class="block">
      <h2>What it goes with</h2>
      <div class="fields">
        {shown.map(({ kind, name, label, none }) => (
          <div class="field" key={kind}>
            <label for={`pluck-${name}`}>{label}</label>
            <select
              id={`pluck-${name}`}
              value={typed[name] ?? ''}
              onChange={(event) => put({ [name]: event.currentTarget.value || null })}
            >
              <option value="">{none}</option>
              {sounds
                .filter((one) => one.kind === kind)
                .map(({ id, title, date }) => (
                  <option key={id} value={id}>
                    {title}, {date}
                  </option>
                ))}
            </select>
          </div>
        ))}
      </div>
    </section>
  );
}
