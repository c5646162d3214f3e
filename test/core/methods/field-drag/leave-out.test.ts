import assert from 'node:assert/strict';
import { test } from 'node:test';
import type { DayEvidence } from '../../../../src/core/evidence/index.ts';
import { layCourse } from '../../../../src/core/methods/field-drag/course.ts';
import { estimateFieldDrag } from '../../../../src/core/methods/field-drag/index.ts';
import { findLaps } from '../../../../src/core/methods/field-drag/laps.ts';
import { obviousSpans } from '../../../../src/core/methods/field-drag/leave-out.ts';
import { prepareDay } from '../../../../src/core/methods/field-drag/series.ts';
import { simulateDay, type Incident, type SimulatedDay } from '../../../../src/simulation/index.ts';
import { evidenceOf } from '../../../simulated-evidence.ts';

interface Told {
  run: number;
  fromS: number;
  toS: number;
  reason: string;
}

function spansOf(evidence: DayEvidence): Told[] {
  const series = prepareDay(evidence);
  const course = layCourse(evidence, series, findLaps(evidence, series));
  return obviousSpans(series.runs, course).map(({ run, fromIndex, toIndex, reason }) => ({
    run: run + 1,
    fromS: series.runs[run].timeS[fromIndex],
    toS: series.runs[run].timeS[toIndex],
    reason,
  }));
}

/** Seconds from the file's first sample at which a run is `atM` past the gate in a lap. */
function timeAt(day: SimulatedDay, run: number, lap: number, atM: number): number {
  const { timeS, channels, truth } = day.runs[run - 1];
  let path = 0;
  const start = truth.gateTimesS[lap - 1];
  for (let i = 1; i < timeS.length; i++) {
    if (timeS[i] > start) path += channels.speedMps[i] * Math.min(1, timeS[i] - start);
    if (path >= atM) return timeS[i];
  }
  throw new Error('not so far');
}

const withIncidents = (seed: number, incidents: Incident[]): SimulatedDay =>
  simulateDay({ seed, setups: 2, runsPerSetup: 2, lapsPerRun: 3, incidents });

const mishaps: [words: string, incident: Incident, reason: RegExp, reachS: number][] = [
  ['braking', { run: 2, lap: 2, atM: 900, kind: 'braking', toSpeedMps: 3 }, /brak/i, 15],
  [
    'a power spike',
    { run: 3, lap: 1, atM: 1400, kind: 'power-spike', powerW: 1900, seconds: 1 },
    /spike/,
    6,
  ],
  [
    'a dropout that reads zero',
    { run: 1, lap: 3, atM: 1000, kind: 'power-dropout', seconds: 12 },
    /dropout/,
    20,
  ],
];

for (const [words, incident, reason, reachS] of mishaps) {
  test(`${words} is found at its place`, () => {
    const day = withIncidents(31, [incident]);
    const at = timeAt(day, incident.run, incident.lap, incident.atM);
    const found = spansOf(evidenceOf(day));
    const here = found.filter(
      (span) => span.run === incident.run && span.fromS < at + reachS && span.toS > at - reachS,
    );
    assert.ok(
      here.some((span) => reason.test(span.reason)),
      `at ${at} s: ${JSON.stringify(found)}`,
    );
    assert.ok(
      here.every((span) => span.fromS > at - reachS && span.toS < at + 2 * reachS),
      'and no more of the lap than that',
    );
  });
}

test('standing still inside a lap is found at its place', () => {
  const evidence = evidenceOf(withIncidents(32, []));
  const { speedMps, powerW } = evidence.recordings[1].channels;
  for (let i = 300; i < 330; i++) speedMps![i] = powerW![i] = 0;
  const still = spansOf(evidence).filter((span) => span.reason === 'stood still');
  assert.equal(still.length, 1);
  assert.equal(still[0].run, 2);
  assert.ok(Math.abs(still[0].fromS - 301) <= 1 && Math.abs(still[0].toS - 329) <= 1);
});

test('waiting at the start before the ride is no standing still inside a lap', () => {
  const evidence = evidenceOf(withIncidents(33, []));
  const { speedMps, powerW } = evidence.recordings[0].channels;
  for (let i = 0; i < 3; i++) speedMps![i] = powerW![i] = 0;
  assert.deepEqual(
    spansOf(evidence).filter((span) => span.reason === 'stood still'),
    [],
  );
});

test('on clean rides next to nothing is left out: eight invented days, loops and there-and-backs', () => {
  let laps = 0;
  let falseAlarms = 0;
  for (let seed = 500; seed < 508; seed++) {
    const day = simulateDay({
      seed,
      setups: 2,
      runsPerSetup: 2,
      lapsPerRun: 3,
      course: { kind: seed % 2 ? 'loop' : 'out-and-back' },
      wind: { speedMps: seed % 3 },
      sensors: { altitude: seed % 4 !== 0 },
    });
    laps += 12;
    // What is beyond the last pass of the gate belongs to no lap.
    falseAlarms += spansOf(evidenceOf(day)).filter(
      ({ run, toS }) => toS < day.runs[run - 1].truth.gateTimesS.at(-1)!,
    ).length;
  }
  assert.ok(falseAlarms <= 1, `${falseAlarms} false alarms in ${laps} laps`);
});

test('coasting into the turn of a there-and-back is no dropout and no braking', () => {
  const day = simulateDay({
    seed: 510,
    setups: 2,
    runsPerSetup: 1,
    lapsPerRun: 3,
    course: { kind: 'out-and-back', turning: 'coast' },
  });
  assert.deepEqual(
    spansOf(evidenceOf(day)).filter((span) => /dropout|brak/i.test(span.reason)),
    [],
  );
});

test('a mishap is told with the lap it lies in, and the lap still counts with the rest of it', () => {
  const [[, incident]] = mishaps;
  const day = withIncidents(31, [incident]);
  const finding = estimateFieldDrag(evidenceOf(day));
  const lap = finding.laps.find((one) => one.run === 2 && one.lap === 2)!;
  assert.ok(lap.leftOut.length > 0 && lap.used);
  const at = timeAt(day, 2, 2, 900);
  assert.ok(lap.leftOut.some((span) => span.fromS < at + 15 && span.toS > at));
  const others = finding.laps.filter((one) => one !== lap);
  assert.ok(
    others.filter((one) => one.leftOut.length > 0).length <= 1,
    'other laps are left as they are',
  );
  const truth = day.runs[1].truth.lapCdaM2[1];
  assert.ok(Math.abs(lap.cdaM2! - truth) < 5 * lap.standardUncertaintyM2! + 0.004);
});

test('drafting behind a lorry for a while, which no sensor sees, is left out because energy came from nowhere', () => {
  const evidence = evidenceOf(withIncidents(34, []));
  // 40 % less power for 25 s at the same speed and the same airspeed reading.
  const { powerW } = evidence.recordings[2].channels;
  for (let i = 300; i < 325; i++) powerW![i] *= 0.3;
  const finding = estimateFieldDrag(evidence);
  const spans = finding.laps.filter((lap) => lap.run === 3).flatMap((lap) => lap.leftOut);
  const hit = spans.filter((span) => span.fromS < 325 && span.toS > 300);
  assert.ok(
    hit.some((span) => /energy gained that the meter did not see/.test(span.reason)),
    JSON.stringify(spans),
  );
});
