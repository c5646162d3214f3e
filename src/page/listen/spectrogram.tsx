import { useCallback, useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { Problem, SoundLevels, Tone } from '../../application/contract.ts';
import { hzAtPlace, levelRange, momentText, thin } from '../../figures/index.ts';
import { problemsOf, readOverview } from '../api.ts';
import { useWidth } from '../parts/drawing.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { useScheme } from '../parts/scheme.ts';
import { flagPlace, inView, margins, paint, xOf, yOf } from './paint-picture.ts';
import type { Painted } from './paint-picture.ts';
import { bandOf, PictureControls, PictureMoves } from './picture-controls.tsx';
import type { Band } from './picture-controls.tsx';
import { levelsOf } from './picture-layers.ts';
import type { Levels } from './picture-layers.ts';
import { inside, moved, showing, zoomed } from './picture-view.ts';
import type { TimeView } from './picture-view.ts';
import { PlayPiece } from './play-piece.tsx';
import { useDetails } from './use-details.ts';
import { usePlayer } from './use-player.ts';
import { useViewMoves } from './use-view-moves.ts';

/** The whole sound for drawing, once it is analysed. */
function useOverview(id: string, ready: boolean) {
  const [overview, setOverview] = useState<Levels | null>(null);
  const [problems, setProblems] = useState<Problem[]>([]);
  useEffect(() => {
    if (!ready) return;
    let current = true;
    readOverview(id).then(
      (picture) => {
        if (!current) return;
        setOverview(levelsOf(picture));
        setProblems([]);
      },
      (error: unknown) => current && setProblems(problemsOf(error)),
    );
    return () => {
      current = false;
    };
  }, [id, ready]);
  return { overview, problems };
}

/**
 * Levels over time and frequency with the tones laid over. Choosing a tone here chooses it in the list, and the
 * other way round; the piece under the pointer is played.
 */
export function Spectrogram({
  id,
  levels,
  tones,
  selected,
  select,
}: {
  id: string;
  levels: SoundLevels;
  tones: readonly Tone[];
  selected: number | null;
  select: (tone: number | null) => void;
}) {
  const { overview, problems } = useOverview(id, true);
  if (problems.length > 0) return <ProblemList problems={problems} />;
  if (!overview) return <p role="status">Drawing the picture …</p>;
  return <Drawn {...{ id, levels, tones, selected, select, overview }} />;
}

function Drawn({
  id,
  levels,
  tones,
  selected,
  select,
  overview,
}: {
  id: string;
  levels: SoundLevels;
  tones: readonly Tone[];
  selected: number | null;
  select: (tone: number | null) => void;
  overview: Levels;
}) {
  const durationS = levels.durationS;
  const dark = useScheme();
  const { ref: holder, width } = useWidth<HTMLDivElement>();
  const canvas = useRef<HTMLCanvasElement>(null);
  const [view, setView] = useState<TimeView>({ fromS: 0, toS: durationS });
  const [scale, setScale] = useState<'log' | 'linear'>('log');
  const [band, setBand] = useState<Band>('all');
  const [withTracks, setWithTracks] = useState(true);
  const [markS, setMarkS] = useState<number | null>(null);
  const [hover, setHover] = useState<{ x: number; y: number } | null>(null);
  const player = usePlayer(id);
  const { details, fetching } = useDetails(id, overview, view, durationS, width - margins.left);
  const range = useMemo(() => levelRange(overview), [overview]);
  const chosen = tones.find(({ tone }) => tone === selected) ?? null;
  const height = width < 600 ? 330 : 440;
  const axis = useMemo(
    () => ({ scale, ...bandOf(band, overview.edgesHz, chosen) }),
    [scale, band, overview, band === 'tone' ? chosen : null],
  );
  const drawn = useMemo(
    () => ({ axis, range, dark, height: height - margins.top - margins.bottom }),
    [axis, range, dark, height],
  );
  const what: Painted = {
    ...{ width, height, view, drawn, overview, details, tones, selected, withTracks, markS },
    clippedAtS: levels.clippedAtS,
    playingS: player.atS,
  };

  useEffect(() => {
    if (!canvas.current || width < 120) return;
    const frame = window.requestAnimationFrame(() => {
      if (canvas.current) paint(canvas.current, what);
    });
    return () => window.cancelAnimationFrame(frame);
  });

  // A tone chosen in the list comes into view; one chosen here is in view already.
  useEffect(() => {
    if (!chosen) return;
    setView((now) => showing(now, chosen.from, chosen.to, durationS));
    setMarkS(chosen.from);
    const { lowHz, highHz } = axis;
    if (band !== 'tone' && (chosen.hz < lowHz || chosen.hz > highHz)) setBand('all');
  }, [selected]);

  const press = useCallback(
    (x: number, y: number) => {
      const near = nearestTone(what, x, y);
      if (near !== null) return select(near);
      const share = (x - margins.left) / (width - margins.left - margins.right);
      setMarkS(Math.min(durationS, Math.max(0, view.fromS + share * (view.toS - view.fromS))));
    },
    [what],
  );
  useViewMoves(holder, { width, durationS, view, setView, press, hover: setHover });

  const markSeen = markS !== null && markS >= view.fromS && markS <= view.toS ? markS : null;
  const about = () => markSeen ?? (view.fromS + view.toS) / 2;
  const moves = {
    closer: () => setView(zoomed(view, 2, about(), durationS)),
    wider: () => setView(zoomed(view, 0.5, about(), durationS)),
    earlier: () => setView(moved(view, -0.5, durationS)),
    later: () => setView(moved(view, 0.5, durationS)),
    whole: () => setView(inside({ fromS: 0, toS: durationS }, durationS)),
  };
  const piece = pieceOf(markSeen ?? view.fromS, durationS);
  const playOrStop = () => (player.on ? player.stop() : player.play(...piece));
  const key = (event: KeyboardEvent) => {
    const acts: Record<string, () => void> = {
      ArrowLeft: () => setView(moved(view, -0.1, durationS)),
      ArrowRight: () => setView(moved(view, 0.1, durationS)),
      PageUp: moves.earlier,
      PageDown: moves.later,
      '+': moves.closer,
      '=': moves.closer,
      '-': moves.wider,
      Home: moves.whole,
      ' ': playOrStop,
      Enter: playOrStop,
      Escape: () => (player.on ? player.stop() : select(null)),
    };
    const act = event.ctrlKey || event.metaKey || event.altKey ? undefined : acts[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  };
  const span = `${momentText(view.fromS, decimals(view))} to ${momentText(view.toS, decimals(view))}`;
  const flag = chosen && withTracks && inView(chosen, what) ? flagPlace(chosen, what) : null;
  return (
    <div class="picture">
      <PictureControls
        {...{ scale, setScale, band, setBand, withTracks, setWithTracks }}
        canZoomTone={chosen !== null}
        highestHz={overview.edgesHz[overview.rows]}
      />
      <div
        ref={holder}
        class="picture-hold"
        role="group"
        tabIndex={0}
        aria-label={`Spectrogram, ${span} in view`}
        aria-describedby="picture-words"
        onKeyDown={key}
        onDblClick={(event) => {
          const box = event.currentTarget.getBoundingClientRect();
          const share = (event.clientX - box.left - margins.left) / (width - margins.left);
          const at = view.fromS + share * (view.toS - view.fromS);
          player.play(...pieceOf(at, durationS));
        }}
        style={{ height: `${height}px` }}
      >
        <canvas ref={canvas} style={{ width: `${width}px`, height: `${height}px` }} />
        {flag && chosen && (
          <span
            class="tone-flag"
            aria-hidden="true"
            style={{
              left: `${Math.min(flag.x - 14, width - 150)}px`,
              top: `${Math.max(margins.top, flag.y - 44)}px`,
            }}
          >
            tone {chosen.tone}: {Math.round(chosen.hz)}
            {thin}Hz
          </span>
        )}
      </div>
      <div class="picture-place" aria-hidden="true">
        <span
          style={{
            left: `${(100 * view.fromS) / durationS}%`,
            width: `${Math.max(0.6, (100 * (view.toS - view.fromS)) / durationS)}%`,
          }}
        />
      </div>
      <p class="picture-read" aria-hidden="true">
        <span>{hover ? reading(what, hover) : `${span} in view`}</span>
        <span>{fetching ? 'finer picture on its way …' : ''}</span>
      </p>
      <PlayPiece {...{ player, piece, chosen }} toldClipped={levels.clippedAtS.length > 0}>
        <PictureMoves moves={moves} />
      </PlayPiece>
      <p id="picture-words" class="unseen">
        {sentence(tones, durationS)} Arrow keys move, plus and minus stretch, Home shows all, Space
        plays from the mark.
      </p>
    </div>
  );
}

/** Enough to recognise a howl by, short enough to be heard again. */
const pieceS = 6;
function pieceOf(fromS: number, durationS: number): [number, number] {
  const from = Math.max(0, Math.min(fromS, durationS - 0.5));
  return [round(from), round(Math.min(durationS, from + pieceS))];
}
const round = (seconds: number): number => Math.round(seconds * 1000) / 1000;

const decimals = ({ fromS, toS }: TimeView): number => (toS - fromS < 20 ? 1 : 0);

function reading(what: Painted, { x, y }: { x: number; y: number }): string {
  const { width, height, view, drawn } = what;
  const share = (x - margins.left) / (width - margins.left - margins.right);
  const place = 1 - (y - margins.top) / (height - margins.top - margins.bottom);
  if (share < 0 || share > 1 || place < 0 || place > 1) return '';
  const timeS = view.fromS + share * (view.toS - view.fromS);
  const hz = hzAtPlace(drawn.axis, place);
  const from = what.details.findLast((one) => covers(one, timeS)) ?? what.overview;
  const level = levelAt(from, timeS, hz);
  const db = level === null ? '' : `, ${Math.round(level / 2 - 127.5)}${thin}dB`.replace('-', '−');
  return `${momentText(timeS, 1)}, ${Math.round(hz)}${thin}Hz${db}`;
}

const covers = ({ fromS, columns, columnS }: Levels, timeS: number): boolean =>
  timeS >= fromS && timeS < fromS + columns * columnS;

function levelAt(from: Levels, timeS: number, hz: number): number | null {
  if (!covers(from, timeS)) return null;
  const column = Math.floor((timeS - from.fromS) / from.columnS);
  let row = 0;
  while (row < from.rows && from.edgesHz[row + 1] <= hz) row++;
  return row < from.rows && hz >= from.edgesHz[0] ? from.levels[column * from.rows + row] : null;
}

/** Tone whose track passes nearest to a place; null where none is near. */
function nearestTone(what: Painted, x: number, y: number): number | null {
  if (!what.withTracks) return null;
  let best: number | null = null;
  let least = 18;
  for (const tone of what.tones) {
    if (!inView(tone, what)) continue;
    const flag = flagPlace(tone, what);
    const onFlag = Math.abs(x - flag.x) < 16 && Math.abs(y - flag.y) < 14;
    let away = onFlag ? 0 : Infinity;
    const { timeS, hz } = tone.track;
    for (let i = 0; i < timeS.length; i++) {
      const dx = xOf(what, timeS[i]) - x;
      // A track's points stand apart when it is seen closely: sideways a little more is near.
      if (Math.abs(dx) < 40) away = Math.min(away, Math.hypot(dx / 3, yOf(what, hz[i]) - y));
    }
    if (away < least) [least, best] = [away, tone.tone];
  }
  return best;
}

function sentence(tones: readonly Tone[], durationS: number): string {
  const length = `The sound is ${momentText(durationS)} long.`;
  if (tones.length === 0) return `${length} No steady tone was found in it.`;
  const { hz, from, to } = tones[0];
  const many = tones.length === 1 ? 'One tone' : `${tones.length} tones`;
  return `${length} ${many}, the strongest at ${Math.round(hz)} Hz from ${momentText(from)} to ${momentText(to)}; the list of tones says the same.`;
}
