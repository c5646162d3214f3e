/**
 * How long an hour of sound takes: cheap blocks of noise with a tone through the streaming analyser, in this thread and cut in
 * two for two workers; one FFT; and SciPy's real FFTs of the same count beside it.
 *
 *   --minutes N   length of the sound (60)
 *   --rate HZ     sampling rate (48000)
 */
import { spawnSync } from 'node:child_process';
import { cpus } from 'node:os';
import { parseArgs } from 'node:util';
import { isMainThread, parentPort, Worker, workerData } from 'node:worker_threads';
import {
  mergeAnalyses,
  realFft,
  soundAnalyser,
  splitSound,
  type AnalysisPart,
  type SoundPart,
} from '../src/core/signal/index.ts';

/** Ten seconds of noise with a tone, read round and round: making sound must not be what is timed. */
function loop(rate: number): Float32Array {
  const samples = new Float32Array(10 * rate);
  let state = 1;
  for (let i = 0; i < samples.length; i++) {
    let sum = 0;
    for (let k = 0; k < 4; k++) {
      state = (Math.imul(state, 1664525) + 1013904223) | 0;
      sum += state / 2147483648;
    }
    samples[i] =
      0.02 * sum +
      (i > 3 * rate && i < 5 * rate ? 0.05 * Math.sin((2 * Math.PI * 700 * i) / rate) : 0);
  }
  return samples;
}

function analyse(rate: number, part: SoundPart): AnalysisPart {
  const samples = loop(rate);
  const analyser = soundAnalyser(rate, { part });
  for (let at = part.readFromSample; at < part.readToSample;) {
    const from = at % samples.length;
    const take = Math.min(65_536, samples.length - from, part.readToSample - at);
    analyser.push(samples.subarray(from, from + take));
    at += take;
  }
  return analyser.finishPart();
}

if (isMainThread) await main();
else {
  const { rate, part } = workerData as { rate: number; part: SoundPart };
  parentPort?.postMessage(analyse(rate, part));
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: {
      minutes: { type: 'string', default: '60' },
      rate: { type: 'string', default: '48000' },
    },
  });
  const minutes = Number(values.minutes);
  const rate = Number(values.rate);
  if (!(minutes > 0 && rate >= 1000)) {
    console.error('--minutes wants a length and --rate a sampling rate.');
    process.exit(2);
  }
  const length = Math.round(minutes * 60 * rate);
  console.log(
    `${minutes} min of ${rate} Hz mono, ${cpus().length} processors (${cpus()[0].model})`,
  );

  const [whole] = splitSound(length, rate, 1);
  let started = performance.now();
  const cpuBefore = process.cpuUsage();
  const one = mergeAnalyses([analyse(rate, whole)]);
  const oneS = (performance.now() - started) / 1000;
  const { user, system } = process.cpuUsage(cpuBefore);
  console.log(
    `one thread    ${oneS.toFixed(1)} s (${((user + system) / 1e6).toFixed(1)} s of processor), ${one.tracks.length + one.tracksLeftOut} tones`,
  );

  started = performance.now();
  const parts = await Promise.all(
    splitSound(length, rate, 2).map(
      (part) =>
        new Promise<AnalysisPart>((resolve, reject) => {
          const worker = new Worker(new URL(import.meta.url), { workerData: { rate, part } });
          worker.once('message', resolve);
          worker.once('error', reject);
        }),
    ),
  );
  const two = mergeAnalyses(parts);
  console.log(
    `two workers   ${((performance.now() - started) / 1000).toFixed(1)} s, ${two.tracks.length + two.tracksLeftOut} tones`,
  );
  console.log(
    `memory        ${(process.resourceUsage().maxRSS / 1024).toFixed(0)} MB at most, workers included`,
  );

  const frames = Math.floor(length / (4096 * (rate / 48000)));
  const fft = realFft(8192);
  const frame = loop(8192).subarray(0, 8192);
  const input = Float64Array.from(frame);
  const output = new Float64Array(8194);
  for (let i = 0; i < 200; i++) fft.transform(input, output);
  started = performance.now();
  for (let i = 0; i < 2000; i++) fft.transform(input, output);
  const fftNs = ((performance.now() - started) * 1e6) / 2000;
  console.log(`one FFT       ${fftNs.toFixed(0)} ns (8192 real samples)`);
  const python = spawnSync(
    '/usr/bin/python3',
    [
      '-c',
      'import time, numpy, scipy, scipy.fft, scipy.signal\n' +
        'x = numpy.random.default_rng(1).normal(size=8192)\n' +
        'scipy.fft.rfft(x)\n' +
        't = time.perf_counter()\n' +
        'for _ in range(2000): scipy.fft.rfft(x)\n' +
        'f = (time.perf_counter() - t) / 2000\n' +
        'y = numpy.random.default_rng(1).normal(size=48000 * 60)\n' +
        't = time.perf_counter()\n' +
        'scipy.signal.welch(y, 48000, nperseg=8192)\n' +
        'print(scipy.__version__, f * 1e9, time.perf_counter() - t)',
    ],
    { encoding: 'utf8' },
  );
  if (python.status !== 0) console.log('SciPy         left out: /usr/bin/python3 has none');
  else {
    const [version, ns, welchS] = python.stdout.trim().split(' ');
    console.log(
      `SciPy ${version}  ${Number(ns).toFixed(0)} ns, ours is ${(fftNs / Number(ns)).toFixed(1)} times that`,
    );
    console.log(
      `              its welch alone, one hour: ${(Number(welchS) * minutes).toFixed(1)} s; ours with all that is found: ${oneS.toFixed(1)} s (${frames} frames)`,
    );
  }
}
