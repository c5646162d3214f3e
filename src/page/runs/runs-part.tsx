import { lapValuesFigure, profileFigure, roadFigure } from '../../figures/index.ts';
import type { FigureStyle } from '../../figures/index.ts';
import type { FieldDragFinding, LapResult } from '../../application/contract.ts';
import type { DayPart } from '../day/day-part.ts';
import { setupName } from '../finding/words.ts';
import { Drawing } from '../parts/drawing.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { AddRecordings } from './add-recordings.tsx';
import { goToLap } from './go-to-lap.ts';
import { LooseRecordings } from './loose-recordings.tsx';
import { RunCard } from './run-card.tsx';

export function RunsPart({ id, work, form }: DayPart) {
  const { view, finding } = work;
  if (!view) return null;
  return (
    <>
      <AddRecordings id={id} work={work} />
      {form === null && (
        <section class="block">
          <h2>The sheet cannot be read</h2>
          <p>Mend its text under Setups; the recordings are safe.</p>
          <ProblemList problems={view.sheetProblems} />
        </section>
      )}
      {finding && <LapPicture finding={finding} stale={work.stale} />}
      {form !== null && form.runs.length > 0 && (
        <section class="block">
          <h2>Runs and their laps</h2>
          <LeftOut laps={finding?.laps ?? []} />
          <ol class="runs">
            {form.runs.map((run, i) => (
              <RunCard
                key={`${i}-${run.file}`}
                id={id}
                number={i + 1}
                run={run}
                form={form}
                work={work}
                laps={finding?.laps.filter((lap) => lap.run === i + 1) ?? []}
              />
            ))}
          </ol>
        </section>
      )}
      {form !== null && <LooseRecordings id={id} work={work} form={form} />}
      {finding && <Road finding={finding} stale={work.stale} />}
    </>
  );
}

/** Mean wind of the day as a vector over the laps that know it. */
function meanWind(laps: readonly LapResult[]): { speedMps: number; fromDeg: number } | null {
  const known = laps.filter((lap) => lap.windSpeedMps !== null && lap.windFromDeg !== null);
  if (known.length === 0) return null;
  let north = 0;
  let east = 0;
  for (const lap of known) {
    const angle = ((lap.windFromDeg as number) * Math.PI) / 180;
    north += ((lap.windSpeedMps as number) * Math.cos(angle)) / known.length;
    east += ((lap.windSpeedMps as number) * Math.sin(angle)) / known.length;
  }
  const fromDeg = ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360;
  return { speedMps: Math.hypot(north, east), fromDeg };
}

function Road({ finding, stale }: { finding: FieldDragFinding; stale: boolean }) {
  const { road } = finding;
  const fromAbove = (style: FigureStyle) =>
    road.latDeg && road.lonDeg
      ? roadFigure(
          {
            latDeg: road.latDeg,
            lonDeg: road.lonDeg,
            gate: road.gate,
            lapLengthM: road.lapLengthM,
            wind: meanWind(finding.laps),
          },
          style,
        )
      : null;
  return (
    <div class={stale ? 'stale' : ''}>
      <figure class="block">
        <figcaption>
          <h2>The road</h2>
        </figcaption>
        {road.latDeg && road.lonDeg ? (
          <Drawing describe={fromAbove} inputs={[finding]} />
        ) : (
          <p class="legend">
            The recordings carry no positions, so the road is shown by its height.
          </p>
        )}
        <Drawing describe={(style) => profileFigure(road, style)} inputs={[finding]} />
      </figure>
    </div>
  );
}

function LapPicture({ finding, stale }: { finding: FieldDragFinding; stale: boolean }) {
  const laps = finding.laps.map((lap) => ({ ...lap, setupName: setupName(finding, lap.setup) }));
  return (
    <div class={stale ? 'stale' : ''}>
      <figure class="block">
        <figcaption>
          <h2>CdA of every lap</h2>
        </figcaption>
        <Drawing describe={(style) => lapValuesFigure(laps, style)} inputs={[finding]} />
        <p class="legend">
          Bar: one standard uncertainty of that lap alone. Cross: left out. All strips have the same
          scale, higher is more drag.
        </p>
      </figure>
    </div>
  );
}

/** Laps left out, whole or in part, with a way straight to each. */
function LeftOut({ laps }: { laps: readonly LapResult[] }) {
  const out = laps.filter((lap) => !lap.used);
  const cut = laps.filter((lap) => lap.used && lap.leftOut.length > 0);
  if (laps.length === 0) return null;
  const counts = [
    `${laps.length} laps found`,
    out.length === 0 ? 'all used' : `${out.length} left out`,
    cut.length > 0 && `${cut.length} without a stretch`,
  ].filter(Boolean);
  return (
    <div class="left-out">
      <p>{counts.join(', ')}. Your word overrules either way, and the comparison follows.</p>
      {out.length + cut.length > 0 && (
        <div class="actions">
          {[...out, ...cut].slice(0, jumpsShown).map((lap) => (
            <button
              key={`${lap.run}-${lap.lap}`}
              type="button"
              class="button"
              onClick={() => goToLap(lap.run, lap.lap)}
            >
              {lap.used ? 'In part' : 'Left out'}: run {lap.run}, lap {lap.lap}
            </button>
          ))}
        </div>
      )}
    </div>
  );
}

/** More than this and the list of runs itself is the better way. */
const jumpsShown = 8;
