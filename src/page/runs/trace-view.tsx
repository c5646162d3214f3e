import { useEffect, useState } from 'preact/hooks';
import type uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import { clock, fixed, roadFigure, traceSpans, traceStrips } from '../../figures/index.ts';
import type { Figure, FigureStyle, TraceSpan, TraceStrip } from '../../figures/index.ts';
import type { LapResult, Problem, RecordingTrace } from '../../application/contract.ts';
import { problemsOf, readTrace } from '../api.ts';
import { Drawing, useWidth } from '../parts/drawing.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { colour, useScheme } from '../parts/scheme.ts';

/** Speed, power and altitude of one recording, laps and left-out stretches shaded behind. */
export function TraceView({
  id,
  file,
  laps,
  number,
}: {
  id: string;
  file: string;
  laps: LapResult[];
  number: number;
}) {
  const [trace, setTrace] = useState<RecordingTrace | null>(null);
  const [problems, setProblems] = useState<Problem[]>([]);
  const [shown, setShown] = useState('all');
  const [Chart, setChart] = useState<typeof uPlot | null>(null);
  useEffect(() => {
    let current = true;
    // The chart library comes with the first trace: the rest of the page does not wait for it.
    Promise.all([readTrace(id, file), import('uplot')]).then(
      ([read, library]) => {
        if (!current) return;
        setChart(() => library.default);
        setTrace(read);
      },
      (error: unknown) => current && setProblems(problemsOf(error)),
    );
    return () => {
      current = false;
    };
  }, [id, file]);
  if (problems.length > 0) return <ProblemList problems={problems} />;
  if (!trace || !Chart) return <p role="status">Reading the trace …</p>;
  const lap = laps.find((candidate) => String(candidate.lap) === shown);
  const last = trace.timeS[trace.timeS.length - 1] ?? 0;
  const range: [number, number] = lap
    ? [Math.max(0, lap.fromS - 15), Math.min(last, lap.toS + 15)]
    : [0, last];
  const spans = traceSpans(laps);
  return (
    <div class="trace">
      <div class="field">
        <label for={`stretch-${number}`}>Stretch shown</label>
        <select
          id={`stretch-${number}`}
          value={shown}
          onChange={(event) => setShown(event.currentTarget.value)}
        >
          <option value="all">Whole recording</option>
          {laps.map((candidate) => (
            <option key={candidate.lap} value={String(candidate.lap)}>
              Lap {candidate.lap}
            </option>
          ))}
        </select>
      </div>
      {traceStrips(trace).map((strip) => (
        <Strip
          key={strip.name}
          Chart={Chart}
          strip={strip}
          timeS={trace.timeS}
          spans={spans}
          range={range}
        />
      ))}
      <Drawing describe={(style) => trackFigure(trace, style)} inputs={[trace]} />
      <p class="legend">Grey: laps. Hatched: left out. Minutes from the start of the recording.</p>
    </div>
  );
}

/** Where the recording went: to be seen before there is any finding. */
function trackFigure(trace: RecordingTrace, style: FigureStyle): Figure | null {
  const { latDeg, lonDeg } = trace;
  return roadFigure({ latDeg, lonDeg, gate: null, lapLengthM: null, wind: null }, style);
}

function Strip({
  Chart,
  strip,
  timeS,
  spans,
  range,
}: {
  Chart: typeof uPlot;
  strip: TraceStrip;
  timeS: number[];
  spans: TraceSpan[];
  range: [number, number];
}) {
  const { ref, width } = useWidth<HTMLDivElement>();
  const [read, setRead] = useState('');
  const dark = useScheme();
  useEffect(() => {
    const holder = ref.current;
    if (!holder || width < 120) return;
    const font = '14px system-ui, sans-serif';
    const axis: uPlot.Axis = {
      stroke: colour('--soft'),
      font,
      grid: { stroke: colour('--line'), width: 1 },
      ticks: { show: false },
    };
    const plot = new Chart(
      {
        width,
        height: 170,
        legend: { show: false },
        cursor: { y: false, drag: { x: false, y: false }, sync: { key: 'trace' } },
        scales: { x: { time: false, min: range[0], max: range[1] } },
        axes: [
          { ...axis, values: (_, ticks) => ticks.map((tick) => clock(tick)), size: 30 },
          { ...axis, size: 48 },
        ],
        series: [
          {},
          ...strip.lines.map((line, i) => ({
            label: line.name,
            stroke: colour(i === 0 ? '--ink' : '--accent'),
            width: i === 0 ? 2.2 : 1.1,
            points: { show: false },
          })),
        ],
        hooks: {
          drawClear: [(self) => shade(self, spans)],
          setCursor: [
            (self) => {
              const at = self.cursor.idx;
              setRead(at === null || at === undefined ? '' : reading(strip, timeS, at));
            },
          ],
        },
      },
      [timeS, ...strip.lines.map((line) => line.values)] as uPlot.AlignedData,
      holder,
    );
    return () => plot.destroy();
  }, [width, strip.name, timeS, dark, spans.length, range[0], range[1]]);
  return (
    <div class="trace-strip">
      <p class="trace-name">
        <b>
          {strip.name}, {strip.unit}
        </b>
        {strip.lines.length > 1 && ' (thick: speed, thin: airspeed)'}{' '}
        <span class="unit">{read}</span>
      </p>
      <div ref={ref} role="img" aria-label={summary(strip)} class="trace-canvas" />
    </div>
  );
}

function reading(strip: TraceStrip, timeS: number[], at: number): string {
  const values = strip.lines.map((line) => line.values[at]);
  const shown = values.map((value) => (value === null ? 'none' : fixed(value, strip.decimals)));
  return `${clock(timeS[at])}: ${shown.join(' and ')}`;
}

function summary(strip: TraceStrip): string {
  return strip.lines
    .map((line) => {
      const known = line.values.filter((value): value is number => value !== null);
      let low = Infinity;
      let high = -Infinity;
      for (const value of known) {
        low = Math.min(low, value);
        high = Math.max(high, value);
      }
      return `${line.name} over time, ${fixed(low, strip.decimals)} to ${fixed(high, strip.decimals)} ${strip.unit}`;
    })
    .join('; ');
}

/** Laps as a tone with their number, what is left out hatched: told apart without colour. */
function shade(plot: uPlot, spans: TraceSpan[]) {
  const { ctx, bbox } = plot;
  const ratio = window.devicePixelRatio || 1;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  for (const span of spans) {
    const left = plot.valToPos(span.fromS, 'x', true);
    const right = plot.valToPos(span.toS, 'x', true);
    if (right < bbox.left || left > bbox.left + bbox.width) continue;
    if (span.kind === 'lap') {
      ctx.fillStyle = colour('--band');
      ctx.fillRect(left + ratio, bbox.top, right - left - 2 * ratio, bbox.height);
      ctx.fillStyle = colour('--soft');
      ctx.font = `${13 * ratio}px system-ui, sans-serif`;
      ctx.textAlign = 'left';
      ctx.textBaseline = 'top';
      if (right - left > 50 * ratio) {
        ctx.fillText(span.label, Math.max(left, bbox.left) + 5 * ratio, bbox.top + 4 * ratio);
      }
    } else {
      ctx.save();
      ctx.beginPath();
      ctx.rect(left, bbox.top, Math.max(right - left, 2 * ratio), bbox.height);
      ctx.clip();
      ctx.strokeStyle = colour('--warm');
      ctx.lineWidth = 1.5 * ratio;
      ctx.beginPath();
      for (let x = left - bbox.height; x < right; x += 9 * ratio) {
        ctx.moveTo(x, bbox.top + bbox.height);
        ctx.lineTo(x + bbox.height, bbox.top);
      }
      ctx.stroke();
      ctx.restore();
    }
  }
  ctx.restore();
}
