import { useEffect, useState } from 'preact/hooks';
import type { PluckSoundView, SoundPicture } from '../../application/contract.ts';
import { fixed, pluckLevelFigure, thin } from '../../figures/index.ts';
import { listSounds, readOverview, readShapes, readSound } from '../api.ts';
import { Drawing } from '../parts/drawing.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { benchHref, listenHref, pluckHref } from '../route.ts';
import { levelsOverTime } from './pluck-levels.ts';
import { evenSpokes, spokesOf } from './pluck-plan.ts';
import type { PlannedSpoke } from './pluck-plan.ts';
import { PluckSettings } from './pluck-settings.tsx';
import { PluckStrip, useBeside } from './pluck-strip.tsx';
import type { StripBeside } from './pluck-strip.tsx';
import { PluckTable } from './pluck-table.tsx';
import { torqueOf, whatItGives, whichLose } from './pluck-words.ts';
import type { SoundWork } from './use-sound.ts';

/** Stored plucks: what was heard of each, on which spoke it is laid, and what all of them give. */
export function PlucksPart({ item: sound, work }: { item: PluckSoundView; work: SoundWork }) {
  const { finding, options } = sound;
  const [playing, setPlaying] = useState<number | null>(null);
  const companion = useCompanion(sound);
  const beside = useBeside(companion);
  const spokes = useSpokes(options.wheel, sound);
  const heard = finding?.heard ?? [];
  const used = heard.filter((one) => one.used && one.hz !== null);
  const pitches = meanOf(used.map((one) => ({ spoke: one.spoke!, hz: one.hz! })));
  return (
    <div class="plucks-part">
      {finding && (
        <section class="block" aria-label="Result" aria-busy={work.saving}>
          <Gives sound={sound} pitches={pitches} beside={beside} />
          {pitches.length > 0 && (
            <PluckStrip
              spokes={spokes}
              pitches={pitches}
              torqueNm={torqueOf(sound)}
              beside={beside}
            />
          )}
          {beside && companion && (
            <p>
              <a href={listenHref(companion)}>Open the plucks shown beside</a>
            </p>
          )}
          <ProblemList problems={finding.warnings} label="To know about these plucks" />
        </section>
      )}
      {finding && heard.length > 0 && (
        <section class="block" aria-label="Plucks">
          <h2>What was heard</h2>
          <Levels sound={sound} playing={playing} />
          <PluckTable sound={sound} work={work} setPlaying={setPlaying} />
        </section>
      )}
      <PluckSettings sound={sound} work={work} />
    </div>
  );
}

function Gives({
  sound,
  pitches,
  beside,
}: {
  sound: PluckSoundView;
  pitches: readonly { spoke: number; hz: number }[];
  beside: StripBeside | null;
}) {
  const lose = beside && whichLose(pitches, torqueOf(sound), beside);
  const { gives, missing } = whatItGives(sound.finding!, sound.options, beside);
  return (
    <>
      <h2 class="sentence">{gives}</h2>
      {lose && <p class="pluck-lose">{lose}</p>}
      {missing.map((one) => (
        <p key={one}>{one}</p>
      ))}
      <div class="actions">
        {beside === null && (
          <a class="button" href={pluckHref()}>
            Pluck once more
          </a>
        )}
        {sound.options.wheel !== null && (
          <a class="button" href={benchHref(sound.options.wheel)}>
            Open the wheel sheet
          </a>
        )}
      </div>
    </>
  );
}

/** Level over time with the plucks; fetched once the sound was listened to. */
function Levels({ sound, playing }: { sound: PluckSoundView; playing: number | null }) {
  const { id, state, finding } = sound;
  const [picture, setPicture] = useState<SoundPicture | null>(null);
  useEffect(() => {
    if (state !== 'ready') return;
    // The table says the same without it.
    void readOverview(id).then(setPicture, () => undefined);
  }, [id, state]);
  if (picture === null || finding === null) return <div class="pluck-levels" />;
  const plucks = finding.heard.map(({ atS, spoke, used }) => ({
    atS,
    used,
    name: spoke === null ? '?' : String(spoke),
  }));
  const levelDb = levelsOverTime(picture);
  const { fromS, columnS } = picture;
  return (
    <div class="pluck-levels">
      <Drawing
        describe={(style) => pluckLevelFigure({ fromS, columnS, levelDb, plucks, playing }, style)}
        inputs={[picture, JSON.stringify(plucks), playing]}
      />
      <p class="legend">
        Level over time. Numbers: spokes. Crosses: what does not count.
        {sound.levels &&
          ` Loudest ${fixed(sound.levels.peakDbfs, 1)}${thin}dB below full scale.`.replace(
            'Loudest \u2212',
            'Loudest ',
          )}
      </p>
    </div>
  );
}

/** Spokes of the wheel sheet; without one as many as were named, sides not told. */
function useSpokes(wheel: string | null, { finding }: PluckSoundView): PlannedSpoke[] {
  const [known, setKnown] = useState<{ of: string; spokes: PlannedSpoke[] } | null>(null);
  useEffect(() => {
    if (wheel === null) return;
    void readShapes(wheel).then(
      (shapes) => setKnown({ of: wheel, spokes: spokesOf(shapes) }),
      () => undefined,
    );
  }, [wheel]);
  if (known && known.of === wheel) return known.spokes;
  const last = Math.max(1, ...(finding?.heard ?? []).map(({ spoke }) => spoke ?? 0));
  return evenSpokes(last, null);
}

/** Plucks of the same wheel or setup at another torque: the newest. */
function useCompanion({ id, options, setup, finding }: PluckSoundView): string | null {
  const [found, setFound] = useState<string | null>(null);
  const torqueNm = finding?.brakeTorqueNm;
  const { wheel } = options;
  useEffect(() => {
    if (torqueNm === undefined) return;
    let current = true;
    const look = async () => {
      const others = (await listSounds()).filter((one) => one.kind === 'plucks' && one.id !== id);
      for (const one of others.slice(0, 8)) {
        const view = await readSound(one.id);
        if (view.kind !== 'plucks' || view.finding === null) continue;
        const same =
          (wheel !== null && view.options.wheel === wheel) ||
          (setup !== '' && view.setup === setup);
        if (same && view.finding.brakeTorqueNm !== torqueNm) return one.id;
      }
      return null;
    };
    void look().then(
      (next) => current && setFound(next),
      () => undefined,
    );
    return () => {
      current = false;
    };
  }, [id, wheel, setup, torqueNm]);
  return found;
}

/** One pitch a spoke. */
function meanOf(plucks: readonly { spoke: number; hz: number }[]): { spoke: number; hz: number }[] {
  return [...new Set(plucks.map(({ spoke }) => spoke))].map((spoke) => {
    const own = plucks.filter((one) => one.spoke === spoke);
    return { spoke, hz: own.reduce((sum, { hz }) => sum + hz, 0) / own.length };
  });
}
