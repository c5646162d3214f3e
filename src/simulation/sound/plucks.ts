import { standardGravityMps2 } from '../../core/units/index.ts';
import { randomStream } from '../random.ts';
import type { RandomStream } from '../random.ts';
import { chain, colouredNoise, onePole, pink } from './filters.ts';
import { simulateWheel, spokeHz, tensionUnder } from './wheel.ts';
import type { SimulatedSpoke, SimulatedWheel } from './wheel.ts';

/** A workshop: the wheel held, the brake locked, a weight on a lever, each spoke plucked in turn. */
export interface PluckConditions {
  wheel: SimulatedWheel;
  sampleRateHz: number;
  /** Weight on a lever that turns the wheel forwards against the locked brake; null: free. */
  lever: { massKg: number; lengthM: number } | null;
  /** Spokes in the order plucked, by number; a number twice is a spoke plucked twice. Null: all, in order. */
  order: number[] | null;
  /** Between plucks, s, and how uneven that is (standard deviation of its ln). */
  everyS: number;
  unevenness: number;
  /** Quality factor of the first mode: log-uniform between these. */
  qLow: number;
  qHigh: number;
  /** The spoke that crosses it sounds with it, dB against it; null: damped by hand at the crossing. */
  crossingDb: number | null;
  /** Peak of a pluck, and noise of the room. */
  pluckDbfs: number;
  roomDbfs: number;
  /** Knocks of the stand and taps of a tool, mixed in between. */
  knocks: number;
  taps: number;
}

export interface SimulatedPlucks {
  sampleRateHz: number;
  samples: Float32Array<ArrayBuffer>;
  brakeTorqueNm: number;
  truth: {
    plucks: {
      atS: number;
      spoke: number;
      tensionN: number;
      /** Partials of the spoke: frequency and Q, by mode and plane. */
      partials: { mode: number; plane: string; hz: number; q: number }[];
      /** Fundamental of the crossing spoke, when it sounds too. */
      crossingHz: number | null;
    }[];
    others: { atS: number; kind: 'knock' | 'tap' }[];
  };
}

const defaults: Omit<PluckConditions, 'wheel'> = {
  sampleRateHz: 48_000,
  lever: null,
  order: null,
  everyS: 1.6,
  unevenness: 0.12,
  qLow: 150,
  qHigh: 800,
  crossingDb: null,
  pluckDbfs: -12,
  roomDbfs: -60,
  knocks: 0,
  taps: 0,
};

/**
 * A recording of plucks. The same conditions and seed give the same sound.
 * Throws RangeError on a spoke the wheel has not, or no spoke at all.
 */
export function simulatePlucks(input: Partial<PluckConditions> = {}, seed = 1): SimulatedPlucks {
  const conditions = { ...defaults, wheel: input.wheel ?? simulateWheel(), ...input };
  const { wheel, sampleRateHz, lever } = conditions;
  const brakeTorqueNm = lever ? lever.massKg * standardGravityMps2 * lever.lengthM : 0;
  const order = conditions.order ?? wheel.spokes.map(({ spoke }) => spoke);
  if (order.length === 0) throw new RangeError('cannot invent this sound: no spoke is plucked');

  const random = randomStream(seed, 'plucks');
  let atS = 0.8;
  const times = order.map(() => {
    const at = atS;
    atS += conditions.everyS * Math.exp(conditions.unevenness * random.normal());
    return at;
  });
  const sound = new Float64Array(Math.ceil((atS + 0.6) * sampleRateHz));
  const plucks = order.map((number, i) => {
    const spoke = wheel.spokes.find((one) => one.spoke === number);
    if (!spoke) throw new RangeError(`cannot invent this sound: there is no spoke ${number}`);
    // The finger on the next spoke ends nothing: a pluck rings on under its neighbour.
    return addPluck(sound, times[i], spoke, brakeTorqueNm, conditions, random);
  });
  const others: SimulatedPlucks['truth']['others'] = [];
  const add = (kind: 'knock' | 'tap', count: number): void => {
    for (let k = 0; k < count; k++) {
      const gap = Math.floor(random.uniform() * times.length);
      const at = times[gap] + conditions.everyS * (0.4 + 0.3 * random.uniform());
      addKnock(sound, at, kind, conditions, random);
      others.push({ atS: at, kind });
    }
  };
  add('knock', conditions.knocks);
  add('tap', conditions.taps);
  others.sort((a, b) => a.atS - b.atS);

  const room = colouredNoise(
    randomStream(seed, 'room'),
    chain(pink(sampleRateHz), onePole(3000, sampleRateHz)),
    sampleRateHz,
  );
  const level = 10 ** (conditions.roomDbfs / 20);
  const samples = new Float32Array(sound.length);
  for (let k = 0; k < sound.length; k++) {
    const whole = Math.round((sound[k] + level * room.next()) * 32768);
    samples[k] = Math.max(-32768, Math.min(32767, whole)) / 32768;
  }
  return { sampleRateHz, samples, brakeTorqueNm, truth: { plucks, others } };
}

/** Adds a sinusoid that dies away: amplitude exp(−πf·t/Q). */
function ring(
  sound: Float64Array,
  atS: number,
  hz: number,
  q: number,
  amplitude: number,
  sampleRateHz: number,
): void {
  if (hz > 0.45 * sampleRateHz || amplitude === 0) return;
  const decayS = q / (Math.PI * hz);
  const first = Math.round(atS * sampleRateHz);
  const past = Math.min(sound.length, first + Math.ceil(9 * decayS * sampleRateHz));
  // Second-order recursion: one multiplication less than a sine a sample, and exact.
  const r = Math.exp(-1 / (decayS * sampleRateHz));
  const w = (2 * Math.PI * hz) / sampleRateHz;
  const a1 = 2 * r * Math.cos(w);
  const a2 = -r * r;
  let y2 = 0;
  let y1 = amplitude * Math.sin(w) * r;
  for (let k = first + 1; k < past; k++) {
    sound[k] += y1;
    const y = a1 * y1 + a2 * y2;
    y2 = y1;
    y1 = y;
  }
}

function addPluck(
  sound: Float64Array,
  atS: number,
  spoke: SimulatedSpoke,
  brakeTorqueNm: number,
  conditions: PluckConditions,
  random: RandomStream,
): SimulatedPlucks['truth']['plucks'][number] {
  const { wheel, sampleRateHz, qLow, qHigh, crossingDb } = conditions;
  const peak = 10 ** (conditions.pluckDbfs / 20) * (0.6 + 0.8 * random.uniform());
  const tensionN = tensionUnder(spoke, brakeTorqueNm);
  const q1 = qLow * (qHigh / qLow) ** random.uniform();
  const place = 0.2 + 0.25 * random.uniform();
  const partials: SimulatedPlucks['truth']['plucks'][number]['partials'] = [];
  const sounds: { hz: number; q: number; amplitude: number }[] = [];
  spoke.wires.forEach(({ plane }, p) => {
    // A finger pulls a blade across its flat, mostly.
    const share = p === 0 ? 1 : 0.25;
    for (let mode = 1; mode <= 5; mode++) {
      const hz = spokeHz(wheel, spoke, tensionN, p, mode);
      // A string pulled aside at one place: sin(nπx)/n² in displacement, /n in what is heard.
      const amplitude = (share * Math.abs(Math.sin(mode * Math.PI * place))) / mode;
      const q = q1 / (1 + 0.15 * (mode - 1));
      partials.push({ mode, plane, hz, q });
      sounds.push({ hz, q, amplitude });
    }
  });
  let crossingHz: number | null = null;
  if (crossingDb !== null) {
    const other = crossingOf(wheel, spoke);
    if (other) {
      crossingHz = spokeHz(wheel, other, tensionUnder(other, brakeTorqueNm));
      sounds.push({ hz: crossingHz, q: q1 * 0.7, amplitude: 10 ** (crossingDb / 20) });
    }
  }
  const total = sounds.reduce((sum, { amplitude }) => sum + amplitude, 0);
  for (const { hz, q, amplitude } of sounds) {
    ring(sound, atS, hz, q, (peak * amplitude) / total, sampleRateHz);
  }
  // The finger leaving the wire: a click of two milliseconds.
  const first = Math.round(atS * sampleRateHz);
  const click = Math.round(0.002 * sampleRateHz);
  for (let k = 0; k < click && first + k < sound.length; k++) {
    sound[first + k] += 0.25 * peak * (1 - k / click) * random.normal();
  }
  return { atS, spoke: spoke.spoke, tensionN, partials, crossingHz };
}

/**
 * The spoke that this one touches: at the outermost of its crossings, with the next spoke of its own side,
 * which leans the other way. Null for radial lacing.
 */
export function crossingOf(wheel: SimulatedWheel, spoke: SimulatedSpoke): SimulatedSpoke | null {
  if (wheel.sides[spoke.side].cross === 0) return null;
  const own = wheel.spokes.filter(({ side }) => side === spoke.side);
  const at = own.indexOf(spoke);
  // A spoke whose hole lies ahead of its nipple crosses those that stand ahead of it.
  const step = spoke.underBraking === 'loses' ? 1 : -1;
  return own[(at + step + own.length) % own.length];
}

/** A dull knock (stand, bench) or the tap of a tool on metal: rings, but not for long. */
function addKnock(
  sound: Float64Array,
  atS: number,
  kind: 'knock' | 'tap',
  { sampleRateHz, pluckDbfs }: PluckConditions,
  random: RandomStream,
): void {
  const peak = 10 ** (pluckDbfs / 20) * (0.5 + random.uniform());
  const [low, high, qLow, qHigh, count] =
    kind === 'knock' ? [90, 500, 3, 8, 4] : [900, 6000, 15, 50, 5];
  for (let m = 0; m < count; m++) {
    const hz = low * (high / low) ** random.uniform();
    const q = qLow * (qHigh / qLow) ** random.uniform();
    ring(sound, atS, hz, q, peak / count, sampleRateHz);
  }
}
