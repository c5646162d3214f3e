import type { NoiseSoundView } from '../../application/contract.ts';
import { noiseSpectrumFigure } from '../../figures/index.ts';
import { Drawing } from '../parts/drawing.tsx';

/** Mean spectrum of the whole recording, folded away: the spectrogram says more. */
export function SpectrumPart({
  item,
  selected,
}: {
  item: NoiseSoundView;
  selected: number | null;
}) {
  const { spectrum, finding } = item;
  if (!spectrum) return null;
  const tones = finding?.tones ?? [];
  return (
    <details class="block">
      <summary>Mean spectrum of the whole recording</summary>
      <Drawing
        describe={(style) => noiseSpectrumFigure({ ...spectrum, tones, tone: selected }, style)}
        inputs={[spectrum, finding, selected]}
      />
    </details>
  );
}
