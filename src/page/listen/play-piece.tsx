import type { ComponentChildren } from 'preact';
import type { Tone } from '../../application/contract.ts';
import { momentText } from '../../figures/index.ts';
import type { Player } from './use-player.ts';

/** Plays from the mark, or the chosen tone as long as it sounds. */
export function PlayPiece({
  player,
  piece: [fromS, toS],
  chosen,
  toldClipped,
  children,
}: {
  player: Player;
  piece: [number, number];
  chosen: Tone | null;
  toldClipped: boolean;
  /** Beside the buttons. */
  children: ComponentChildren;
}) {
  const whole = chosen && chosen.to - chosen.from > toS - fromS ? chosen : null;
  return (
    <div class="play-piece">
      <div class="actions">
        {player.on ? (
          <button type="button" class="button primary" onClick={player.stop}>
            Stop
          </button>
        ) : (
          <button type="button" class="button primary" onClick={() => player.play(fromS, toS)}>
            Play from {momentText(fromS, 1)}
          </button>
        )}
        {whole && !player.on && (
          <button type="button" class="button" onClick={() => player.play(whole.from, whole.to)}>
            Play all of tone {whole.tone}
          </button>
        )}
        {children}
        <p role="status" class="legend">
          {player.on ? (player.atS === null ? 'Being cut …' : 'Playing') : ''}
        </p>
      </div>
      <p class="legend">
        Press in the picture to set the mark; press twice to hear it. A howl is shrill: begin with
        the volume low.
        {toldClipped && ' A cross above the picture: there the recorder was overdriven.'}
      </p>
    </div>
  );
}
