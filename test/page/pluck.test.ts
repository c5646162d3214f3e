/** The pluck session without a browser: hearing strokes, the way round the wheel, what is stored. */
import test from 'node:test';
import assert from 'node:assert/strict';
import fc from 'fast-check';
import { findPlucks } from '../../src/core/signal/index.ts';
import { openSound } from '../../src/sound/index.ts';
import { simulatePlucks, simulateWheel } from '../../src/simulation/sound/index.ts';
import { PluckEar } from '../../src/page/listen/pluck-ear.ts';
import type { Cutting } from '../../src/page/listen/pluck-ear.ts';
import { inTurn, withCounted, withSpoke } from '../../src/page/listen/pluck-order.ts';
import {
  again,
  beginSession,
  countedOf,
  evenSpokes,
  goTo,
  judge,
  leastRinging,
  offMedian,
  ordered,
  placesOf,
  skip,
  take,
  undo,
} from '../../src/page/listen/pluck-plan.ts';
import type { PluckSession, Taken } from '../../src/page/listen/pluck-plan.ts';
import { leverTorqueNm, whichLose } from '../../src/page/listen/pluck-words.ts';
import { dayOf, faded, timeOf, toPcm16, wavFile } from '../../src/page/listen/record-wav.ts';
import { near } from '../near.ts';

const rate = 48_000;
const levels = {
  durationS: 1,
  peakDbfs: -10,
  rmsDbfs: -30,
  clippedShare: 0,
  clippedAtS: [],
  silentShare: 0,
};
const session = (count = 8): PluckSession =>
  beginSession({
    wheel: null,
    spokes: evenSpokes(count, 'left'),
    lever: null,
    noise: null,
    setup: '',
    beside: null,
  });
const pluck = (spoke: number, piece: number, hz = 400): Omit<Taken, 'out'> => ({
  piece,
  spoke,
  hz,
  lengthS: 1.15,
  atS: 0.35,
  ci95: [hz - 0.1, hz + 0.1],
  q: 300,
});
const pluckNow = (now: PluckSession): PluckSession => take(now, pluck(now.step.now!, now.pieces));

/** Feeds a sound in blocks as the microphone gives them. */
function listenTo(samples: Float32Array, block = 960): { cutting: Cutting; toldAtS: number }[] {
  const ear = new PluckEar(rate);
  const heard = [];
  for (let i = 0; i < samples.length; i += block) {
    const cutting = ear.push(samples.subarray(i, i + block));
    if (cutting) heard.push({ cutting, toldAtS: (i + block) / rate });
  }
  return heard;
}

test('every pluck round a wheel is cut out once, with its stroke where it was, within a second', () => {
  const wheel = simulateWheel({ count: 20 }, 3);
  const { samples, truth } = simulatePlucks({ wheel, everyS: 1.6 }, 3);
  const heard = listenTo(samples);
  assert.equal(heard.length, truth.plucks.length);
  heard.forEach(({ cutting, toldAtS }, i) => {
    const { atS, partials, spoke } = truth.plucks[i];
    assert.ok(toldAtS - atS < 1, `spoke ${spoke} after ${toldAtS - atS} s`);
    const verdict = judge({ plucks: findPlucks(cutting.samples, rate), levels });
    assert.ok(verdict.kind === 'pluck' || verdict.kind === 'doubtful', `spoke ${spoke}`);
    near(verdict.atS, cutting.atS, { abs: 0.02, why: 'four blocks of 5 ms' });
    near(verdict.hz, partials[0].hz, { rel: 0.003, why: 'five cents, of 0.8 s of ring' });
  });
});

test('a quiet room and a hum that swells are no strokes', () => {
  const { samples } = simulatePlucks({ wheel: simulateWheel({ count: 12 }, 1), order: [1] }, 5);
  const quiet = samples.slice(0, Math.round(0.7 * rate));
  const room = Float32Array.from({ length: 8 * rate }, (_, i) => quiet[i % quiet.length]);
  assert.equal(listenTo(room).length, 0);
  const swelling = room.map((x, i) => {
    const hum = 0.02 * Math.min(1, i / (4 * rate));
    return x + hum * Math.sin((2 * Math.PI * 100 * i) / rate);
  });
  assert.equal(listenTo(swelling).length, 0, 'a level that rises over seconds');
});

test('the tap of a tool is told as a tap and not laid on a spoke', () => {
  const wheel = simulateWheel({ count: 12 }, 2);
  const { samples, truth } = simulatePlucks(
    { wheel, order: [1], everyS: 6, taps: 1, qLow: 150, qHigh: 151 },
    3,
  );
  const heard = listenTo(samples);
  assert.equal(heard.length, 2);
  near(heard[1].toldAtS, truth.others[0].atS + 0.8, { abs: 0.05, why: 'blocks' });
  const [first, second] = heard.map(({ cutting }) =>
    judge({ plucks: findPlucks(cutting.samples, rate), levels }),
  );
  assert.equal(first.kind, 'pluck');
  assert.equal(second.kind, 'tap');
});

test('the tone of the spoke plucked just before is doubted: it may still have rung under a tap', () => {
  const { samples } = simulatePlucks({ wheel: simulateWheel({ count: 12 }, 1), order: [1] }, 7);
  const plucks = findPlucks(samples, rate);
  const { hz } = judge({ plucks, levels }) as { hz: number };
  const same = judge({ plucks, levels }, { spoke: 12, hz: 1.001 * hz });
  assert.ok(same.kind === 'doubtful');
  assert.match(same.why, /spoke 12/);
  assert.equal(judge({ plucks, levels }, { spoke: 12, hz: 1.01 * hz }).kind, 'pluck');
});

test('a pluck that overdrives the microphone is doubtful and says what helps', () => {
  const { samples } = simulatePlucks({ wheel: simulateWheel({ count: 12 }, 1), order: [1] }, 7);
  const plucks = findPlucks(samples, rate);
  assert.equal(judge({ plucks, levels }).kind, 'pluck');
  const loud = judge({ plucks, levels: { ...levels, clippedShare: 0.01 } });
  assert.ok(loud.kind === 'doubtful');
  assert.match(loud.why, /softer/);
  assert.equal(judge({ plucks: [], levels }).kind, 'nothing');
});

test('round the wheel in order; what was skipped comes again at the end', () => {
  let now = session(6);
  const order: (number | null)[] = [];
  now = skip(pluckNow(now));
  while (now.step.now !== null) {
    order.push(now.step.now);
    now = pluckNow(now);
  }
  assert.deepEqual(order, [3, 4, 5, 6, 2]);
  assert.deepEqual(
    countedOf(now.step).map(({ spoke }) => spoke),
    [1, 3, 4, 5, 6, 2],
  );
});

test('done again, the first pluck stays in the recording and does not count', () => {
  let now = pluckNow(pluckNow(session(4)));
  now = again(now);
  assert.equal(now.step.now, 2);
  assert.deepEqual(
    countedOf(now.step).map(({ piece }) => piece),
    [0, 1],
    'until the new one is heard',
  );
  now = pluckNow(now);
  assert.equal(now.step.now, 3, 'and on from there');
  assert.deepEqual(
    now.step.taken.map(({ spoke, out }) => [spoke, out]),
    [
      [1, false],
      [2, true],
      [2, false],
    ],
  );
  assert.deepEqual(
    undo(now).step.taken.map(({ out }) => out),
    [false, false],
  );
});

test('undo takes everything back one by one, and no spoke ever counts twice', () => {
  const act = fc.oneof(
    fc.constant('pluck' as const),
    fc.constant('skip' as const),
    fc.constant('again' as const),
    fc.constant('undo' as const),
    fc.integer({ min: 1, max: 5 }),
  );
  fc.assert(
    fc.property(fc.array(act, { maxLength: 30 }), (acts) => {
      let now = session(5);
      for (const one of acts) {
        const before = now;
        if (one === 'undo') now = undo(now);
        else if (one === 'skip') now = skip(now);
        else if (one === 'again') now = again(now);
        else if (one === 'pluck') now = now.step.now === null ? now : pluckNow(now);
        else now = goTo(now, one);
        if (one !== 'undo' && now !== before) assert.deepEqual(undo(now).step, before.step);
        const counted = countedOf(now.step).map(({ spoke }) => spoke);
        assert.equal(new Set(counted).size, counted.length);
        assert.equal(new Set(now.step.taken.map(({ piece }) => piece)).size, now.step.taken.length);
        if (now.step.now === null) assert.equal(counted.length, 5);
      }
    }),
    { seed: 4, numRuns: 200 },
  );
});

test('pieces laid end to end read back as a WAV file in which each spoke is found again', async () => {
  const wheel = simulateWheel({ count: 12 }, 6);
  const order = [3, 1, 8, 8, 2];
  const { samples, truth } = simulatePlucks({ wheel, order, everyS: 1.7 }, 6);
  const cuttings = listenTo(samples).map(({ cutting }) => cutting);
  assert.equal(cuttings.length, order.length);
  const taken = cuttings.map((cutting, i): Taken => ({
    ...pluck(order[i], i),
    lengthS: cutting.samples.length / rate,
    atS: cutting.atS,
    out: i === 2,
  }));
  const pieces = cuttings.map((one) => new Blob([faded(toPcm16(one.samples), rate)]));
  const started = new Date(2026, 4, 17, 9, 5, 7);
  const bytes = new Uint8Array(await wavFile(pieces, rate, started).arrayBuffer());
  const read = (offset: number, length: number) =>
    Promise.resolve(bytes.subarray(offset, offset + length));
  const { format, blocks } = await openSound({ sizeBytes: bytes.length, read }, 'plucks.wav');
  assert.equal(format.sampleRateHz, rate);
  assert.equal(format.channels, 1);
  // EBU Tech 3285: the recorder's own clock, to the second.
  assert.equal(format.startClock, 'local');
  assert.equal(format.startEpochS, Date.UTC(2026, 4, 17, 9, 5, 7) / 1000);
  const parts: number[] = [];
  for await (const [channel] of blocks()) parts.push(...channel);
  assert.equal(
    parts.length,
    cuttings.reduce((sum, one) => sum + one.samples.length, 0),
  );
  const found = findPlucks(Float32Array.from(parts), rate).map((one, i) => ({
    ...one,
    pluck: i + 1,
  }));
  const { spokes, leaveOut } = ordered(taken, found);
  assert.deepEqual(spokes, [3, 1, 8, 2], 'the first pluck of spoke 8 was done again');
  const kept = found.filter(
    ({ pluck: n, ringing }) => !leaveOut.includes(n) && ringing >= leastRinging,
  );
  const truths = truth.plucks.filter((_, i) => i !== 2);
  assert.equal(kept.length, truths.length);
  kept.forEach(({ partials, fundamental }, i) =>
    near(partials[fundamental].hz, truths[i].partials[0].hz, { rel: 0.003, why: 'five cents' }),
  );
});

test('a stroke that nobody took is left out, and one that no longer rings takes no spoke', () => {
  const taken = [1, 2, 3].map((spoke, i): Taken => ({ ...pluck(spoke, i), out: false }));
  const at = placesOf(taken).map((one) => one.atS);
  const heard = [
    { pluck: 1, atS: at[0], ringing: 0.9 },
    { pluck: 2, atS: at[0] + 0.5, ringing: 0.8 },
    { pluck: 3, atS: at[1] + 0.01, ringing: 0.2 },
    { pluck: 4, atS: at[2] - 0.01, ringing: 0.9 },
  ];
  assert.deepEqual(ordered(taken, heard), { spokes: [1, 3], leaveOut: [2] });
});

/** As the application lays a list of spokes on what rings and is not left out. */
function laid(
  heard: readonly { pluck: number; ringing: number }[],
  { spokes, leaveOut }: { spokes: number[] | null; leaveOut: number[] },
) {
  let next = 0;
  return heard.map(({ pluck: n, ringing }) => {
    const counts = ringing >= leastRinging && !leaveOut.includes(n);
    return { pluck: n, ringing, spoke: counts ? (spokes?.[next++] ?? null) : null };
  });
}

test('one pluck put on another spoke, left out and taken back moves no other', () => {
  const strokes = [0.9, 0.1, 0.8, 0.7].map((ringing, i) => ({ pluck: i + 1, ringing }));
  let order = { spokes: [5, 6, 7] as number[] | null, leaveOut: [] as number[] };
  const shown = () => laid(strokes, order).map(({ spoke }) => spoke);
  assert.deepEqual(shown(), [5, null, 6, 7]);
  order = withSpoke(laid(strokes, order), order, 3, 9);
  assert.deepEqual(shown(), [5, null, 9, 7]);
  order = withCounted(laid(strokes, order), order, 1, false);
  assert.deepEqual(shown(), [null, null, 9, 7]);
  order = withCounted(laid(strokes, order), order, 1, true);
  assert.deepEqual(shown(), [1, null, 9, 7], 'on the first spoke that has none');
  order = inTurn(laid(strokes, order), order);
  assert.deepEqual(shown(), [1, null, 2, 3]);
});

test('a weight of 8 kg on a level lever of 0.4 m gives 31.381 N m (standard gravity, ISO 80000-3)', () => {
  near(leverTorqueNm(8, 0.4), 31.38128, { rel: 1e-9, why: '8 × 9.80665 × 0.4' });
  near(leverTorqueNm(8, 0.4, 60), 15.69064, { rel: 1e-9, why: 'cos 60° is one half' });
});

test('a loose spoke stands out among those of its side, under torque only among its kind', () => {
  const spokes = evenSpokes(12, 'left');
  const pitches = spokes.map(({ spoke, side }) => ({
    spoke,
    hz: spoke === 5 ? 340 : side === 'left' ? 420 : 350,
  }));
  const free = offMedian(pitches, spokes, false);
  near(free.get(5)!, 340 / 420 - 1, { abs: 1e-12, why: 'against the left median' });
  assert.equal(free.get(2), 0);
  assert.equal(offMedian(pitches, spokes, true).get(5), null, 'which way it leans is not known');
  const leaning = spokes.map((one) => ({
    ...one,
    lean: one.spoke % 4 < 2 ? ('ahead' as const) : ('behind' as const),
  }));
  assert.equal(offMedian(pitches, leaning, true).get(5), null, 'three of a kind are too few');
});

test('date and time in names are those of the clock on the wall', () => {
  const when = new Date(2026, 0, 2, 3, 4, 5);
  assert.equal(`${dayOf(when)} ${timeOf(when, '-')}`, '2026-01-02 03-04-05');
});

test('samples beyond full scale stay at the limit of sixteen bits', () => {
  assert.deepEqual(
    [...toPcm16(Float32Array.from([0, 1, -1, 1.5, -2, 0.5]))],
    [0, 32767, -32768, 32767, -32768, 16384],
  );
});

test('which spokes lose tension is said from plucks free and under torque, whichever is looked at', () => {
  const free = new Map([1, 2, 3, 4].map((spoke) => [spoke, 400] as const));
  const under = [410, 380, 412, 392].map((hz, i) => ({ spoke: i + 1, hz }));
  const plain = (text: string | null) => text?.replaceAll('\u202f', ' ');
  const says =
    'Under 31.4 N m 2 of 4 spokes sound lower and so lose tension; most of all 2 (5.0 %), 4 (2.0 %).';
  assert.equal(plain(whichLose(under, 31.4, { torqueNm: 0, hz: free })), says);
  const pitches = [...free].map(([spoke, hz]) => ({ spoke, hz }));
  const hz = new Map(under.map((one) => [one.spoke, one.hz]));
  assert.equal(plain(whichLose(pitches, 0, { torqueNm: 31.4, hz })), says);
  assert.equal(whichLose(pitches.slice(1), 0, { torqueNm: 31.4, hz: new Map() }), null);
});
