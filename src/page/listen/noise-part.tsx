import { useEffect, useRef, useState } from 'preact/hooks';
import type { BrakeNoiseFinding, NoiseSoundView } from '../../application/contract.ts';
import { Cautions } from '../bench/item-parts.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { CurvesPart } from './curves-part.tsx';
import { answerSentence, ExplanationsPart, SuggestionsPart } from './explanations-part.tsx';
import { NoiseSettings } from './noise-settings.tsx';
import { AboutSound } from './about-sound.tsx';
import { Spectrogram } from './spectrogram.tsx';
import { SpectrumPart } from './spectrum-part.tsx';
import { TonesPart } from './tones-part.tsx';
import type { SoundWork } from './use-sound.ts';

/** A ride that howls: the answer first, then what it rests on, then what is known of the ride. */
export function NoisePart({ item, work }: { item: NoiseSoundView; work: SoundWork }) {
  const { finding, levels } = item;
  const [selected, select] = useState<number | null>(null);
  const picture = useRef<HTMLElement>(null);
  const tones = finding?.tones ?? [];
  useEffect(() => {
    // A new result may number the tones otherwise.
    if (selected !== null && !tones.some(({ tone }) => tone === selected)) select(null);
  }, [finding]);
  /** From beside the picture, which on a phone is far away: it comes along. */
  const selectAndShow = (tone: number | null) => {
    select(tone);
    const box = picture.current?.getBoundingClientRect();
    if (tone === null || !box || (box.bottom > 120 && box.top < window.innerHeight - 120)) return;
    picture.current?.scrollIntoView({ block: 'start' });
  };
  return (
    <>
      {item.state === 'ready' && (
        <section class="block listen-answer" aria-label="Answer" aria-busy={work.saving}>
          {finding ? (
            <Answer finding={finding} selected={selected} select={selectAndShow} />
          ) : (
            <h2 class="sentence">No answer yet.</h2>
          )}
          <ProblemList problems={item.problems} label="About this sound" />
        </section>
      )}
      {levels && item.state === 'ready' && (
        <div class="listen-look">
          <section class="block" aria-label="Spectrogram" ref={picture}>
            <h2>What was heard</h2>
            <Spectrogram
              id={item.id}
              key={`${item.id}:${String(item.options.channel)}`}
              {...{ levels, tones, selected, select }}
            />
          </section>
          <TonesPart {...{ tones, selected, select }} />
          {finding && <CurvesPart finding={finding} title={item.title} selected={selected} />}
          <SpectrumPart item={item} selected={selected} />
        </div>
      )}
      <div class="listen-known">
        <NoiseSettings item={item} work={work} />
        <AboutSound item={item} work={work} />
      </div>
    </>
  );
}

function Answer({
  finding,
  selected,
  select,
}: {
  finding: BrakeNoiseFinding;
  selected: number | null;
  select: (tone: number | null) => void;
}) {
  const { head, rest } = answerSentence(finding);
  return (
    <>
      <div class="sentence">
        <h2>{head}</h2>
        {rest && <p>{rest}</p>}
      </div>
      <ExplanationsPart {...{ finding, selected, select }} />
      <Cautions cautions={finding.cautions} />
      <SuggestionsPart finding={finding} />
      {finding.warnings.length > 0 && (
        <section class="block">
          <h2>To know about this result</h2>
          <ProblemList problems={finding.warnings} label="Warnings" />
        </section>
      )}
    </>
  );
}
