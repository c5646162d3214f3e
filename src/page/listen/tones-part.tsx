import { useEffect, useRef, useState } from 'preact/hooks';
import type { Tone } from '../../application/contract.ts';
import { fixed, thin } from '../../figures/index.ts';
import { followsWords, hzWords, levelWords, ordinal, spanWords } from './words.ts';

/** Long recordings have many tones: the strongest come first and are enough at a glance. */
const shownAtOnce = 8;

/** The tones of a recording, strongest first. Choosing one marks it in the pictures. */
export function TonesPart({
  tones,
  selected,
  select,
}: {
  tones: readonly Tone[];
  selected: number | null;
  select: (tone: number | null) => void;
}) {
  const [all, setAll] = useState(false);
  const list = useRef<HTMLUListElement>(null);
  const place = tones.findIndex(({ tone }) => tone === selected);
  const shown = all || place >= shownAtOnce ? tones : tones.slice(0, shownAtOnce);
  // Chosen in the picture: its line comes into view, without moving the page.
  useEffect(() => {
    const own = list.current?.querySelector<HTMLElement>('[aria-pressed="true"]');
    const box = list.current;
    if (!own || !box) return;
    const [top, bottom] = [own.offsetTop - box.offsetTop, own.offsetTop - box.offsetTop];
    if (top < box.scrollTop || bottom + own.offsetHeight > box.scrollTop + box.clientHeight)
      box.scrollTop = top - 8;
  }, [selected]);
  if (tones.length === 0) {
    return (
      <section class="block" aria-label="Tones">
        <h2>Tones</h2>
        <p>
          No steady tone stands out of wind, chain and road. Was the brake on, and the microphone
          near it?
        </p>
      </section>
    );
  }
  return (
    <section class="block" aria-label="Tones">
      <h2>
        Tones <span class="unit">({tones.length})</span>
      </h2>
      <ul class="tones" ref={list}>
        {shown.map((tone) => (
          <li key={tone.tone}>
            <ToneLine
              tone={tone}
              on={tone.tone === selected}
              press={() => select(tone.tone === selected ? null : tone.tone)}
            />
          </li>
        ))}
      </ul>
      {shown.length < tones.length && (
        <button type="button" class="button" onClick={() => setAll(true)}>
          Show all {tones.length}
        </button>
      )}
    </section>
  );
}

function ToneLine({ tone, on, press }: { tone: Tone; on: boolean; press: () => void }) {
  const { harmonic, harmonicOf, driftHzPerS } = tone;
  const drifts = Math.abs(driftHzPerS) >= 0.1;
  return (
    <button type="button" class="tone" aria-pressed={on} onClick={press}>
      <span class="tone-number">
        <span class="unseen">Tone </span>
        {tone.tone}
      </span>
      <span class="tone-hz">{hzWords(tone.hz, tone.ci95)}</span>
      <span class="tone-span">{spanWords(tone)}</span>
      <span class="tone-facts">
        {[
          levelWords(tone),
          followsWords(tone),
          drifts &&
            `${driftHzPerS > 0 ? 'rises' : 'falls'} ${fixed(Math.abs(driftHzPerS), 1)}${thin}Hz a second`,
          harmonicOf !== null &&
            harmonic !== null &&
            `${ordinal(harmonic)} harmonic of tone ${harmonicOf}`,
        ]
          .filter(Boolean)
          .join('; ')}
      </span>
    </button>
  );
}
