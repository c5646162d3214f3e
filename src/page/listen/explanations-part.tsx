import type { BrakeNoiseFinding, CauseId, Explanation } from '../../application/contract.ts';
import { fixed, thin } from '../../figures/index.ts';
import { begun, oddsWords } from './words.ts';

/** What could make the noise, likeliest first, each with its odds and why. */
export function ExplanationsPart({
  finding,
  selected,
  select,
}: {
  finding: BrakeNoiseFinding;
  selected: number | null;
  select: (tone: number | null) => void;
}) {
  const { explanations } = finding;
  if (explanations.length === 0) return null;
  return (
    <section class="block" aria-label="What could make it">
      <h2>What could make it</h2>
      <ol class="causes">
        {explanations.map((one) => (
          <li key={one.id} class="cause">
            <div class="cause-head">
              <b class="cause-name">{begun(one.cause)}</b>
              <span class="cause-odds">{oddsWords(one.odds)}</span>
            </div>
            <div class="odds-bar" aria-hidden="true">
              <span style={{ width: `${Math.max(0.5, 100 * one.odds)}%` }} />
            </div>
            {one.odds >= unlikely ? (
              <Reason {...{ one, finding, selected, select }} />
            ) : (
              <details>
                <summary>
                  Why so unlikely<span class="unseen">: {one.cause}</span>
                </summary>
                <Reason {...{ one, finding, selected, select }} />
              </details>
            )}
          </li>
        ))}
      </ol>
      <p class="legend">
        The odds are of these causes only, and add up to 100{thin}%. They hold for this recording
        and what is told beside it; the next recording can turn them over.
      </p>
    </section>
  );
}

/** Below this a cause's reason is folded away, so that what counts is seen at a glance. */
const unlikely = 0.03;
/** The strongest are enough to look at. */
const mostTones = 6;

function Reason({
  one,
  finding,
  selected,
  select,
}: {
  one: Explanation;
  finding: BrakeNoiseFinding;
  selected: number | null;
  select: (tone: number | null) => void;
}) {
  return (
    <div class="cause-why">
      <p>{one.why}</p>
      <Elsewhere one={one} finding={finding} />
      {one.tones.length > 0 && (
        <div class="cause-tones" role="group" aria-label={`Tones that speak of: ${one.cause}`}>
          <span aria-hidden="true">{one.tones.length === 1 ? 'Tone' : 'Tones'}</span>
          {one.tones.slice(0, mostTones).map((tone) => (
            <button
              key={tone}
              type="button"
              class="button"
              aria-pressed={tone === selected}
              onClick={() => select(tone === selected ? null : tone)}
            >
              <span class="unseen">Tone </span>
              {tone}
            </button>
          ))}
          {one.tones.length > mostTones && (
            <span class="unit">and {one.tones.length - mostTones} more</span>
          )}
        </div>
      )}
    </div>
  );
}

/** Where else this cause would sound: what another torque, or another recording, would show. */
function Elsewhere({ one, finding }: { one: Explanation; finding: BrakeNoiseFinding }) {
  const { predictedHz, atTorqueNm } = one;
  if (predictedHz.length === 0) return null;
  const places = predictedHz
    .slice(0, 6)
    .map(
      (hz, i) =>
        `${fixed(hz, 0)}${thin}Hz${atTorqueNm[i] === undefined ? '' : ` at ${fixed(atTorqueNm[i], 0)}${thin}N${thin}m`}`,
    );
  const held = finding.brakeTorqueNm !== null;
  return (
    <p class="legend">
      {held ? 'It would sound at' : 'Somewhere it would sound at'} {places.join(', ')}.
    </p>
  );
}

/** What to try, with what the next recording would show. */
export function SuggestionsPart({ finding }: { finding: BrakeNoiseFinding }) {
  const { suggestions, explanations } = finding;
  if (suggestions.length === 0) return null;
  const causeOf = (id: CauseId) => explanations.find((one) => one.id === id);
  const groups = [...new Set(suggestions.map((one) => one.for))];
  return (
    <section class="block" aria-label="What to try next">
      <h2>What to try next</h2>
      {groups.map((id) => (
        <div key={id} class="block">
          {groups.length > 1 && <h3>If it is: {causeOf(id)?.cause ?? id}</h3>}
          <ul class="tries">
            {suggestions
              .filter((one) => one.for === id)
              .map(({ change, expect }) => (
                <li key={change}>
                  <b>{change}</b>
                  <span>If it is right: {expect.charAt(0).toLowerCase() + expect.slice(1)}</span>
                </li>
              ))}
          </ul>
        </div>
      ))}
    </section>
  );
}

/** The answer in a sentence or two: cause first, then how sure. */
export function answerSentence(finding: BrakeNoiseFinding): { head: string; rest: string } {
  const { tones, explanations } = finding;
  if (tones.length === 0)
    return { head: 'No howl was found.', rest: 'No steady tone stands out of the noise.' };
  const [first, second] = explanations;
  const strongest = `The strongest tone is at ${fixed(tones[0].hz, 0)}${thin}Hz.`;
  if (!first) return { head: strongest, rest: '' };
  const close = second && first.odds < 2 * second.odds;
  return {
    head:
      first.id === 'none-of-these'
        ? `Most likely none of the known causes, ${oddsWords(first.odds)}.`
        : `${first.odds >= 0.5 ? 'Most likely' : 'First in the list'}: ${first.cause}, ${oddsWords(first.odds)}.`,
    rest: close
      ? `${strongest} Close behind: ${second.cause}, ${oddsWords(second.odds)}. This recording does not tell them apart well.`
      : strongest,
  };
}
