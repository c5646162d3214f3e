import { useState } from 'preact/hooks';
import { fixed, thin } from '../../figures/index.ts';
import type {
  BalancePlan,
  BenchView,
  NippleTurn,
  TensionFinding,
} from '../../application/contract.ts';
import { createBench, problemsOf } from '../api.ts';
import { keepText, keptText } from '../parts/kept-text.ts';
import { useNotices } from '../parts/notices.tsx';
import { benchHref } from '../route.ts';
import { nameOfPlan, textOfTicks, ticksOf } from './ticks.ts';
import { turnsWord } from './words.ts';

type Item = Extract<BenchView, { kind: 'tension' }>;

/** The nipples to turn, one after the other, to be ticked off with the key in the other hand. */
export function TensionPlan({ item, finding }: { item: Item; finding: TensionFinding }) {
  const { balance, balanceReason } = finding;
  return (
    <section class="block" aria-label="What to turn">
      <h2>What to turn</h2>
      {balance && <p>{balance.meaning}</p>}
      {!balance && balanceReason && <p>{balanceReason}</p>}
      {balance && balance.turns.length > 0 && <Steps item={item} plan={balance} />}
    </section>
  );
}

function Steps({ item, plan }: { item: Item; plan: BalancePlan }) {
  const { turns } = plan;
  const { done, tick, clear } = useTicks(item.id, turns);
  const count = turns.filter(({ spoke }) => done.has(spoke)).length;
  return (
    <>
      <p class="turn-count" role="status">
        {count === 0
          ? 'Tick each step as you turn it.'
          : count < turns.length
            ? `${count} of ${turns.length} turned.`
            : 'All are turned. Now read every spoke again.'}
      </p>
      <ol class="turns" aria-label="Nipples to turn">
        {turns.map((turn, i) => (
          <li key={turn.spoke}>
            <Step turn={turn} number={i + 1} done={done.has(turn.spoke)} tick={tick} />
          </li>
        ))}
      </ol>
      {count > 0 && (
        <div class="actions">
          {count === turns.length && <ReadAfter item={item} />}
          <button type="button" class="button" onClick={clear}>
            Take all ticks off
          </button>
        </div>
      )}
      <p class="legend">
        To tighten, turn the nipple clockwise as seen from outside the rim, where the tyre is. A
        large turn is made in several rounds. If a spoke begins to twist, or anything creaks or
        moves, stop.
      </p>
      <Reach plan={plan} />
    </>
  );
}

/** New readings of the same wheel, held against the same; those from before the turning stay as they are. */
function ReadAfter({ item }: { item: Item }) {
  const { complain } = useNotices();
  const [busy, setBusy] = useState(false);
  const begin = async () => {
    setBusy(true);
    try {
      const { title, setup, options } = item;
      const next = await createBench({
        kind: 'tension',
        title: `${title}, after turning`,
        setup,
        options: { ...options },
      });
      window.location.hash = benchHref(next.id);
    } catch (error) {
      complain(problemsOf(error));
      setBusy(false);
    }
  };
  return (
    <button type="button" class="button primary" disabled={busy} onClick={() => void begin()}>
      Begin readings after turning
    </button>
  );
}

function Step({
  turn,
  number,
  done,
  tick,
}: {
  turn: NippleTurn;
  number: number;
  done: boolean;
  tick: (spoke: number, on: boolean) => void;
}) {
  const { spoke, side, quarterTurns } = turn;
  const tighten = quarterTurns > 0;
  return (
    <label class={`turn ${done ? 'turn-done' : ''}`}>
      <input
        type="checkbox"
        checked={done}
        onChange={(event) => tick(spoke, event.currentTarget.checked)}
      />
      <span class="turn-number">{number}</span>
      <span class="turn-spoke">
        Spoke {spoke} <span class="unit">{side}</span>
      </span>
      <span class="turn-what">
        <span aria-hidden="true">{tighten ? '↻' : '↺'}</span> {tighten ? 'tighten' : 'loosen'}{' '}
        {turnsWord(quarterTurns)}
      </span>
    </label>
  );
}

/** Where the plan leads, by the wheel sheet. */
function Reach({ plan }: { plan: BalancePlan }) {
  const facts: [string, string][] = [
    ['Furthest spoke from its mean', `${fixed(plan.residualPercent, 0)}${thin}%`],
    ['Tightest spoke afterwards', `${fixed(plan.highestN, 0)}${thin}N`],
    ['Tightest on the way', `${fixed(plan.highestOnTheWayN, 0)}${thin}N`],
    ['Rim moves sideways at most', `${fixed(plan.lateralMm, 2)}${thin}mm`],
    ['Rim moves up or down at most', `${fixed(plan.radialMm, 2)}${thin}mm`],
  ];
  return (
    <section class="block" aria-label="What the plan reaches">
      <h3>What it reaches, by the wheel sheet</h3>
      <dl class="learnt">
        {facts.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      {plan.outsideAfter.length > 0 && (
        <p class="field-wrong">
          Still outside afterwards: {plan.outsideAfter.length === 1 ? 'spoke' : 'spokes'}{' '}
          {plan.outsideAfter.join(', ')}.
        </p>
      )}
    </section>
  );
}

/** Which steps are ticked; they belong to one plan and fall with it. Kept in the browser. */
function useTicks(id: string, turns: readonly NippleTurn[]) {
  const name = `${id}:turned`;
  const plan = nameOfPlan(turns);
  const [kept, setKept] = useState(() => keptText(name));
  const done = new Set(ticksOf(kept, plan));
  const put = (next: number[]) => {
    const text = textOfTicks(plan, next);
    keepText(name, text);
    setKept(text);
  };
  return {
    done,
    tick: (spoke: number, on: boolean) =>
      put(on ? [...done, spoke] : [...done].filter((one) => one !== spoke)),
    clear: () => put([]),
  };
}
