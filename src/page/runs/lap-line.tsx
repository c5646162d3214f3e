import { useEffect, useState } from 'preact/hooks';
import { clock, decimalsFor, fixed, joinSpans, thin } from '../../figures/index.ts';
import type { LapResult } from '../../application/contract.ts';
import type { DayWork } from '../day/use-day.ts';
import { useKeptText } from '../parts/kept-text.ts';

/** One lap as found: what it measured, whether it counts, why, and a person's word on it. */
export function LapLine({
  id,
  lap,
  reason,
  work,
}: {
  id: string;
  lap: LapResult;
  /** What the person gave as reason, when they overruled. */
  reason: string | null;
  work: DayWork;
}) {
  const [asked, setAsked] = useState(false);
  // The switch answers the hand at once; the finding confirms it, or a refusal puts it back.
  const [wanted, setWanted] = useState<boolean | null>(null);
  useEffect(() => setWanted(null), [lap]);
  const used = wanted ?? lap.used;
  const place = `lap ${lap.lap} of run ${lap.run}`;
  const why = useKeptText(`${id}:reason:${lap.run}:${lap.lap}`, reason ?? '');
  const word = { run: lap.run, lap: lap.lap };
  const overrule = (use: boolean) => {
    setAsked(true);
    setWanted(use);
    void work
      .edit([{ op: 'overrule-lap', ...word, use, reason: why.text.trim() || null }])
      .then((saved) => saved || setWanted(null));
  };
  const saveReason = async (event: Event) => {
    event.preventDefault();
    const saved = await work.edit([
      { op: 'overrule-lap', ...word, use: used, reason: why.text.trim() || null },
    ]);
    if (saved) {
      why.clear();
      setAsked(false);
    }
  };
  const decimals = decimalsFor(lap.standardUncertaintyM2 ?? 0);
  return (
    <li class={`lap ${used ? '' : 'lap-out'}`}>
      <div class={`lap-facts ${work.stale ? 'stale' : ''}`}>
        <b class="lap-name">Lap {lap.lap}</b>{' '}
        <span class="lap-cda">
          {lap.cdaM2 === null
            ? 'no CdA'
            : `CdA ${fixed(lap.cdaM2, decimals)}${
                lap.standardUncertaintyM2 === null
                  ? ''
                  : ` ± ${fixed(lap.standardUncertaintyM2, decimals)}`
              }`}
        </span>
        <span class="lap-sub">
          {clock(lap.durationS)}, {fixed(lap.meanSpeedMps * 3.6, 1)}
          {thin}km/h, {fixed(lap.meanPowerW, 0)}
          {thin}W
        </span>
      </div>
      <button
        type="button"
        role="switch"
        class="switch"
        id={`use-${lap.run}-${lap.lap}`}
        aria-checked={used}
        aria-label={`Use ${place}`}
        onClick={() => overrule(!used)}
      >
        <span class="switch-box" aria-hidden="true" />
        {used ? 'Used' : 'Left out'}
      </button>
      {(lap.reason !== null || lap.overruled || lap.leftOut.length > 0 || asked) && (
        <div class="lap-why">
          {lap.reason !== null && <p>{asSentence(lap.reason)}</p>}
          {joinSpans(lap.leftOut).map((span) => (
            <p key={span.fromS}>
              {clock(span.fromS)} to {clock(span.toS)} left out: {span.reason}
            </p>
          ))}
          {(lap.overruled || asked) && (
            <form class="inline-form" onSubmit={(event) => void saveReason(event)}>
              <div class="field grow">
                <label for={`why-${lap.run}-${lap.lap}`}>
                  Your reason to {used ? 'use' : 'leave out'} {place}
                </label>
                <input
                  id={`why-${lap.run}-${lap.lap}`}
                  value={why.text}
                  maxLength={300}
                  autocomplete="off"
                  onInput={(event) => why.set(event.currentTarget.value)}
                />
              </div>
              <button class="button" disabled={!why.dirty}>
                Save the reason
              </button>
              {lap.overruled && (
                <button
                  type="button"
                  class="button plain"
                  onClick={() => {
                    setAsked(false);
                    why.clear();
                    void work.edit([{ op: 'clear-overrule', ...word }]);
                  }}
                >
                  Take my word back
                </button>
              )}
            </form>
          )}
        </div>
      )}
    </li>
  );
}

/** A reason as it stands in a list of them, with a capital and a full stop. */
function asSentence(reason: string): string {
  const start = reason.charAt(0).toUpperCase() + reason.slice(1);
  return /[.!?]$/.test(start) ? start : `${start}.`;
}
