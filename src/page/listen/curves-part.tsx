import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { BrakeNoiseFinding } from '../../application/contract.ts';
import {
  curveWords,
  figureSvg,
  noiseCurvesFigure,
  printPalette,
  spokeAtPlace,
} from '../../figures/index.ts';
import type { FigureStyle, NoiseCurvesData } from '../../figures/index.ts';
import { Drawing } from '../parts/drawing.tsx';
import { saveFile } from '../parts/save-file.ts';

/** More tones laid across hide the curves. */
const mostTones = 6;

/** Pitch of each spoke against brake torque, with the tones across. Pointing at a curve names its spoke. */
export function CurvesPart({
  finding,
  title,
  selected,
}: {
  finding: BrakeNoiseFinding;
  title: string;
  selected: number | null;
}) {
  const [spoke, setSpoke] = useState<number | null>(null);
  const [kept, setKept] = useState(false);
  const holder = useRef<HTMLDivElement>(null);
  const { curves, brakeTorqueNm } = finding;
  const tones = useMemo(() => {
    const own = finding.tones.filter(({ harmonicOf }) => harmonicOf === null);
    const first = own.slice(0, mostTones);
    const chosen = finding.tones.find(({ tone }) => tone === selected);
    return chosen && !first.includes(chosen) ? [...first, chosen] : first;
  }, [finding, selected]);
  const data: NoiseCurvesData = { curves, tones, held: brakeTorqueNm, spoke, tone: selected };
  const spokes = [...new Set(curves.map((one) => one.spoke))].sort((a, b) => a - b);
  useEffect(() => {
    if (spoke !== null && !spokes.includes(spoke)) setSpoke(null);
  }, [curves]);
  if (curves.length === 0) {
    return (
      <section class="block" aria-label="Spokes against brake torque">
        <h2>Spokes against brake torque</h2>
        <p>
          Nothing is known of the spokes yet. Add plucks of them, or the wheel’s sheet, under “What
          is known of this ride”: then their pitches are drawn here against brake torque, with the
          tones laid across.
        </p>
      </section>
    );
  }
  const at = (event: PointerEvent): number | null => {
    const box = holder.current?.querySelector('svg')?.getBoundingClientRect();
    if (!box || box.width === 0) return null;
    const style = styleFor(box.width);
    return spokeAtPlace(data, style, event.clientX - box.left, event.clientY - box.top);
  };
  const own = curves.filter((one) => one.spoke === spoke);
  const save = () => {
    const figure = noiseCurvesFigure(data, { width: 900, fontSize: 17, palette: printPalette });
    if (figure) saveFile(`${title}, spokes.svg`, figureSvg(figure, document), 'image/svg+xml');
  };
  return (
    <section class="block" aria-label="Spokes against brake torque">
      <h2>Spokes against brake torque</h2>
      <div
        ref={holder}
        class="curves"
        onPointerMove={(event) => {
          if (event.pointerType === 'mouse' && !kept) setSpoke(at(event));
        }}
        onPointerLeave={() => {
          if (!kept) setSpoke(null);
        }}
        onClick={(event) => {
          const next = at(event as unknown as PointerEvent);
          setSpoke(next);
          setKept(next !== null);
        }}
      >
        <Drawing
          describe={(style) => noiseCurvesFigure(data, style)}
          inputs={[finding, tones, spoke, selected]}
        />
      </div>
      <p class="curve-words" role="status">
        {own.length > 0
          ? own.map((one) => curveWords(one, brakeTorqueNm?.value ?? null)).join(' ')
          : 'Point at a curve, or choose a spoke: it is named here.'}
      </p>
      <div class="inline-form">
        <div class="field">
          <label for="curve-spoke">Spoke</label>
          <select
            id="curve-spoke"
            value={spoke === null ? '' : String(spoke)}
            onChange={(event) => {
              const value = event.currentTarget.value;
              setSpoke(value === '' ? null : Number(value));
              setKept(value !== '');
            }}
          >
            <option value="">none chosen</option>
            {spokes.map((one) => (
              <option key={one} value={one}>
                spoke {one}
              </option>
            ))}
          </select>
        </div>
        <button type="button" class="button" onClick={save}>
          Save the picture (SVG)
        </button>
      </div>
      <p class="legend">
        {basisWords(finding)} Grey across: tones. Shaded upright: the torque held while it howled
        {brakeTorqueNm === null ? ', not known here' : `, ${brakeTorqueNm.basis}`}.
      </p>
    </section>
  );
}

/** As `Drawing` chooses it. */
const styleFor = (width: number): Pick<FigureStyle, 'width' | 'fontSize'> => ({
  width,
  fontSize: width < 480 ? 15 : 16,
});

function basisWords({ curves }: BrakeNoiseFinding): string {
  const bases = new Set(curves.map(({ basis }) => basis));
  if (bases.has('both')) return 'From the wheel’s mechanics, drawn through the plucks.';
  if (bases.has('mechanics')) return 'From the wheel’s mechanics.';
  return 'Drawn through the plucks, between the torques at which they were plucked.';
}
