import { closes, findOneWayLaps } from './one-way-laps.ts';
import type { DayEvidence } from '../../evidence/index.ts';
import type { Problem } from '../../units/index.ts';
import { gateAt, gateFromMarks, passes, type Gate } from './gate.ts';
import { eastOf, northOf } from './plane.ts';
import type { DaySeries, RunSeries } from './series.ts';
import {
  commonLength,
  count,
  lengthTolerance,
  notFound,
  pathAtMarks,
  stretchesOf,
  wholeLaps,
  type FoundLaps,
  type LapStretch,
} from './stretches.ts';

export function findLoopLaps(evidence: DayEvidence, series: DaySeries): FoundLaps {
  const { course } = evidence.day;
  const { runs, origin } = series;
  const warnings: Problem[] = [];
  const byMarks = runs.map((run) =>
    run.lapMarksS.length > 0 ? stretchesOf(pathAtMarks(run)) : stretchesOf([0, run.pathM.at(-1)!]),
  );
  const marked = runs.some((run) => run.lapMarksS.length > 0);
  const markLength = commonLength(
    byMarks.flat().map((lap) => lap.toPathM - lap.fromPathM),
    course.lapLengthM,
  );
  const lapsByMarks = marked && markLength ? wholeLaps(byMarks, markLength) : runs.map(() => []);

  if (origin) {
    const atGate = lapsAtGate(evidence, series, lapsByMarks);
    if (atGate) return atGate;
  }
  const oneWay = findOneWayLaps(series, course.lapLengthM);
  if (oneWay && !lapsByMarks.some((laps, r) => laps.some((lap) => closes(runs[r], lap)))) {
    return oneWay;
  }
  if (markLength && count(lapsByMarks) > 0) {
    return {
      laps: lapsByMarks.map((laps) => evened(laps, 40)),
      lapLengthM: markLength,
      gate: null,
      warnings,
    };
  }
  if (course.lapLengthM) {
    const length = course.lapLengthM;
    const laps = runs.map((run) => {
      const whole = Math.floor(run.pathM.at(-1)! / length + lengthTolerance);
      return stretchesOf(Array.from({ length: whole + 1 }, (_, k) => k * length));
    });
    if (count(laps) > 0) {
      warnings.push({
        code: 'laps-not-found',
        message:
          'No lap marks and no positions: laps are counted off by the stated lap length from the start of each run.',
        remedy: 'Press the lap button at the same place each lap.',
      });
      return { laps, lapLengthM: length, gate: null, warnings };
    }
  }
  // One run of exactly one lap each, from start to stop: the runs themselves are the laps.
  const whole = runs.map((run) => stretchesOf([0, run.pathM.at(-1)!]));
  const length = commonLength(
    whole.flat().map((lap) => lap.toPathM),
    null,
  );
  if (!marked && length && runs.length >= 2) {
    const laps = wholeLaps(whole, length);
    if (count(laps) === runs.length) return { laps, lapLengthM: length, gate: null, warnings };
  }
  throw notFound(
    evidence,
    origin
      ? 'the track never passes the same gate twice in the same direction.'
      : 'the recordings have neither lap marks nor positions.',
  );
}

interface GateLaps {
  laps: LapStretch[][];
  length: number;
  gate: Gate;
}

/**
 * Laps between passes of one gate: the one stated, else where the marks were pressed, else whichever of
 * the starts and of six places on the way gives most laps. Null where none gives any.
 */
function lapsAtGate(
  evidence: DayEvidence,
  series: DaySeries,
  lapsByMarks: LapStretch[][],
): FoundLaps | null {
  const { runs, origin } = series;
  const { course } = evidence.day;
  const through = (gate: Gate | null): GateLaps | null => {
    if (!gate) return null;
    const stretches = runs.map((run) => stretchesOf(passes(run, gate)));
    const length = commonLength(
      stretches.flat().map((lap) => lap.toPathM - lap.fromPathM),
      course.lapLengthM,
    );
    if (length === null) return null;
    const laps = wholeLaps(stretches, length);
    return count(laps) > 0 ? { laps, length, gate } : null;
  };
  const found = (best: GateLaps | null): FoundLaps | null =>
    best && {
      laps: best.laps.map((laps) => evened(laps, 12)),
      lapLengthM: best.length,
      gate: { eastM: best.gate.eastM, northM: best.gate.northM },
      warnings: [],
    };

  if (course.gate) {
    const north = northOf(origin!, course.gate.latDeg);
    const east = eastOf(origin!, course.gate.lonDeg);
    const gate = gateAt(runs[0], nearestSample(runs[0], east, north));
    return found(through(gate && { ...gate, eastM: east, northM: north }));
  }
  // Where the rider pressed, laps begin: another gate might find more, but in the warm-up.
  const pressedAt = gateFromMarks(runs, lapsByMarks);
  const pressed = through(pressedAt);
  if (pressed && count(pressed.laps) >= count(lapsByMarks)) return found(pressed);
  const total = runs[0].pathM.at(-1)!;
  const onTheWay = [1, 2, 3, 4, 5, 6].map((k) =>
    runs[0].pathM.findIndex((path) => path >= (k / 7) * total),
  );
  const candidates = [
    ...runs.slice(0, 3).map((run) => gateAt(run, 0)),
    ...onTheWay.map((index) => (index > 0 ? gateAt(runs[0], index) : null)),
  ];
  let best = pressed;
  for (const gate of candidates) {
    const laps = through(gate);
    // A later candidate must find more laps, not merely as many: starts come first.
    if (laps && (!best || count(laps.laps) > count(best.laps))) best = laps;
  }
  // Marks at one place that no track passes as often: the positions are the worse witness.
  if (pressedAt && count(best?.laps ?? []) < count(lapsByMarks)) return null;
  return found(best);
}

function nearestSample(run: RunSeries, east: number, north: number): number {
  let best = 0;
  let distance = Infinity;
  for (let i = 0; i < run.pathM.length; i++) {
    const d = Math.hypot(run.eastM![i] - east, run.northM![i] - north);
    if (d < distance) {
      distance = d;
      best = i;
    }
  }
  return best;
}

/**
 * Draws the boundaries of a run onto an even ladder: on a loop every lap is equally long, so the
 * error of single marks or passes averages out. Kept as they are when they do not fit a ladder
 * within `looseM` (another line was ridden).
 */
function evened(laps: LapStretch[], looseM: number): LapStretch[] {
  if (laps.length < 2) return laps;
  for (let i = 1; i < laps.length; i++) {
    if (Math.abs(laps[i].fromPathM - laps[i - 1].toPathM) > 1e-6) return laps;
  }
  const xs = [laps[0].fromPathM, ...laps.map((lap) => lap.toPathM)];
  const n = xs.length;
  const meanIndex = (n - 1) / 2;
  const meanX = xs.reduce((sum, x) => sum + x, 0) / n;
  let top = 0;
  let bottom = 0;
  xs.forEach((x, i) => {
    top += (i - meanIndex) * (x - meanX);
    bottom += (i - meanIndex) ** 2;
  });
  const slope = top / bottom;
  const fit = xs.map((_, i) => meanX + slope * (i - meanIndex));
  if (xs.some((x, i) => Math.abs(x - fit[i]) > looseM)) return laps;
  return laps.map((lap, i) => ({ ...lap, fromPathM: fit[i], toPathM: fit[i + 1] }));
}
