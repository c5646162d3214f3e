import type { Tone } from '../../application/contract.ts';

/** Part of the frequencies that is shown: all, up to so many Hz, or near the tone. */
export type Band = 'all' | 'tone' | number;

const upTo = [500, 1000, 2000, 4000, 8000];
/** Where there is no pitch any more that a wheel could have. */
const lowestHz = 80;

export function bandOf(
  band: Band,
  edgesHz: ArrayLike<number>,
  tone: Tone | null,
): { lowHz: number; highHz: number } {
  const lowHz = Math.max(lowestHz, edgesHz[0]);
  const highHz = Math.max(lowHz * 2, edgesHz[edgesHz.length - 1]);
  if (band === 'all' || (band === 'tone' && tone === null)) return { lowHz, highHz };
  if (band !== 'tone') return { lowHz, highHz: Math.min(highHz, Math.max(band, lowHz * 2)) };
  const own = [tone!.hz, ...tone!.track.hz];
  return {
    lowHz: Math.max(lowHz, Math.min(...own) / 1.25),
    highHz: Math.min(highHz, Math.max(...own) * 1.25),
  };
}

export function PictureControls({
  scale,
  setScale,
  band,
  setBand,
  withTracks,
  setWithTracks,
  canZoomTone,
  highestHz,
}: {
  scale: 'log' | 'linear';
  setScale: (scale: 'log' | 'linear') => void;
  band: Band;
  setBand: (band: Band) => void;
  withTracks: boolean;
  setWithTracks: (on: boolean) => void;
  canZoomTone: boolean;
  highestHz: number;
}) {
  return (
    <div class="picture-choices">
      <div class="field">
        <label for="picture-band">Frequencies</label>
        <select
          id="picture-band"
          value={band === 'tone' && !canZoomTone ? 'all' : String(band)}
          onChange={(event) => {
            const value = event.currentTarget.value;
            setBand(value === 'all' || value === 'tone' ? value : Number(value));
          }}
        >
          <option value="all">all</option>
          {upTo
            .filter((hz) => hz < highestHz)
            .map((hz) => (
              <option key={hz} value={hz}>
                up to {hz} Hz
              </option>
            ))}
          <option value="tone" disabled={!canZoomTone}>
            near the chosen tone
          </option>
        </select>
      </div>
      <div class="field">
        <label for="picture-scale">Axis</label>
        <select
          id="picture-scale"
          value={scale}
          onChange={(event) => setScale(event.currentTarget.value === 'linear' ? 'linear' : 'log')}
        >
          <option value="log">logarithmic</option>
          <option value="linear">linear</option>
        </select>
      </div>
      <label class="choice picture-tracks">
        <input
          type="checkbox"
          checked={withTracks}
          onChange={(event) => setWithTracks(event.currentTarget.checked)}
        />
        Tones laid over
      </label>
    </div>
  );
}

export type Move = 'closer' | 'wider' | 'earlier' | 'later' | 'whole';

/** For those who do not pull or stretch the picture itself. */
export function PictureMoves({ moves }: { moves: Record<Move, () => void> }) {
  const buttons = [
    { text: 'Earlier', act: moves.earlier },
    { text: 'Later', act: moves.later },
    { text: 'Closer', act: moves.closer },
    { text: 'Wider', act: moves.wider },
    { text: 'Whole', act: moves.whole },
  ];
  return (
    <div class="picture-moves" role="group" aria-label="What is in view">
      {buttons.map(({ text, act }) => (
        <button key={text} type="button" class="button" onClick={act}>
          {text}
        </button>
      ))}
    </div>
  );
}
