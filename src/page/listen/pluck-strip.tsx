import { useEffect, useState } from 'preact/hooks';
import { pluckPitchFigure } from '../../figures/index.ts';
import { readSound } from '../api.ts';
import { Drawing } from '../parts/drawing.tsx';
import { farOff, offMedian } from './pluck-plan.ts';
import type { PlannedSpoke } from './pluck-plan.ts';
import { torqueOf, torqueWords } from './pluck-words.ts';

export interface StripBeside {
  torqueNm: number;
  hz: ReadonlyMap<number, number>;
}

/** Pitch of each spoke as a strip, what was plucked at another torque beside it. */
export function PluckStrip({
  spokes,
  pitches,
  torqueNm,
  beside,
  now = null,
}: {
  spokes: readonly PlannedSpoke[];
  pitches: readonly { spoke: number; hz: number }[];
  torqueNm: number;
  beside: StripBeside | null;
  now?: number | null;
}) {
  const off = offMedian(pitches, spokes, torqueNm !== 0);
  const data = {
    spokes: spokes.map(({ spoke, side }) => {
      const far = off.get(spoke) ?? null;
      return {
        spoke,
        side,
        hz: pitches.find((one) => one.spoke === spoke)?.hz ?? null,
        besideHz: beside?.hz.get(spoke) ?? null,
        farOff: far !== null && Math.abs(far) > farOff ? far : null,
      };
    }),
    words: torqueWords(torqueNm),
    besideWords: beside && torqueWords(beside.torqueNm),
    now,
  };
  return (
    <Drawing describe={(style) => pluckPitchFigure(data, style)} inputs={[JSON.stringify(data)]} />
  );
}

/** Pitches of stored plucks, for laying beside; null without them. */
export function useBeside(id: string | null): StripBeside | null {
  const [beside, setBeside] = useState<(StripBeside & { id: string }) | null>(null);
  useEffect(() => {
    if (id === null) return;
    void readSound(id).then(
      (view) => {
        if (view.kind !== 'plucks' || view.finding === null) return;
        const used = view.finding.heard.filter((one) => one.used && one.hz !== null);
        const hz = new Map(used.map((one) => [one.spoke!, one.hz!]));
        setBeside({ id, torqueNm: torqueOf(view), hz });
      },
      // What is gone is not shown beside.
      () => undefined,
    );
  }, [id]);
  return beside?.id === id ? beside : null;
}
