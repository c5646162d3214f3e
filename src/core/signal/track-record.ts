/** The sums that a tone track needs, so that its length costs no memory and two halves can be joined. */

export interface TrackRecord {
  /** Frames on the recording's grid of the first and last sighting. */
  firstFrame: number;
  lastFrame: number;
  sightings: number;
  /** Log-likelihood gathered against noise, see linking.ts. */
  evidence: number;
  /** Σ over sightings of power w, w·t, w·t², w·f, w·f·t with t in frames since `firstFrame`. */
  w: number;
  wt: number;
  wtt: number;
  wf: number;
  wtf: number;
  /** Σ over sightings of noise power in the critical band. */
  noise: number;
  /** Σ of the variance of a frame's frequency that noise alone explains, Hz². */
  variance: number;
  /** Σ of squared second differences of neighbouring sightings, Hz², and how many. */
  bend: number;
  bends: number;
  /** Thinned for drawing: middle frame, frequency, mean power; each stands for about `stride` sightings. */
  stride: number;
  frame: number[];
  hz: number[];
  power: number[];
  pending: number;
  /** Whether it was alive at the last frame of its part, or at the first: it may go on in the next part. */
  openEnd: boolean;
  openStart: boolean;
}

export interface Sighting {
  frame: number;
  hz: number;
  power: number;
  noise: number;
  variance: number;
}

const mostPoints = 400;

export function newRecord(first: Sighting, openStart: boolean): TrackRecord {
  const record: TrackRecord = {
    firstFrame: first.frame,
    lastFrame: first.frame,
    sightings: 0,
    evidence: 0,
    w: 0,
    wt: 0,
    wtt: 0,
    wf: 0,
    wtf: 0,
    noise: 0,
    variance: 0,
    bend: 0,
    bends: 0,
    stride: 1,
    frame: [],
    hz: [],
    power: [],
    pending: 0,
    openEnd: false,
    openStart,
  };
  addSighting(record, first);
  return record;
}

/** Counts a sighting in, and thins the drawing when it grows too long. */
export function addSighting(
  record: TrackRecord,
  { frame, hz, power, noise, variance }: Sighting,
): void {
  const t = frame - record.firstFrame;
  record.lastFrame = frame;
  record.sightings++;
  record.w += power;
  record.wt += power * t;
  record.wtt += power * t * t;
  record.wf += power * hz;
  record.wtf += power * hz * t;
  record.noise += noise;
  record.variance += variance;
  addPoint(record, frame, hz, power);
}

function addPoint(record: TrackRecord, frame: number, hz: number, power: number): void {
  const last = record.frame.length - 1;
  if (record.pending > 0 && record.pending < record.stride) {
    const n = record.pending++;
    const all = record.power[last] * n + power;
    record.hz[last] = (record.hz[last] * record.power[last] * n + hz * power) / all;
    record.frame[last] = (record.frame[last] * n + frame) / (n + 1);
    record.power[last] = all / (n + 1);
  } else {
    record.frame.push(frame);
    record.hz.push(hz);
    record.power.push(power);
    record.pending = 1;
  }
  if (record.pending === record.stride && record.frame.length >= mostPoints) thin(record);
}

/** Joins neighbouring points of the drawing in pairs. */
function thin(record: TrackRecord): void {
  const kept = Math.floor(record.frame.length / 2);
  for (let i = 0; i < kept; i++) {
    const a = 2 * i;
    const b = a + 1;
    const power = record.power[a] + record.power[b];
    record.hz[i] = (record.hz[a] * record.power[a] + record.hz[b] * record.power[b]) / power;
    record.frame[i] = (record.frame[a] + record.frame[b]) / 2;
    record.power[i] = power / 2;
  }
  const odd = record.frame.length % 2 === 1;
  for (const list of [record.frame, record.hz, record.power]) {
    if (odd) list[kept] = list[list.length - 1];
    list.length = kept + (odd ? 1 : 0);
  }
  record.pending = odd ? record.stride : 2 * record.stride;
  record.stride *= 2;
}

/** Two pieces of one tone, `later` after `earlier`, as one. */
export function joinRecords(earlier: TrackRecord, later: TrackRecord): TrackRecord {
  const shift = later.firstFrame - earlier.firstFrame;
  const joined: TrackRecord = {
    ...earlier,
    lastFrame: later.lastFrame,
    sightings: earlier.sightings + later.sightings,
    evidence: earlier.evidence + later.evidence,
    w: earlier.w + later.w,
    wt: earlier.wt + later.wt + shift * later.w,
    wtt: earlier.wtt + later.wtt + 2 * shift * later.wt + shift * shift * later.w,
    wf: earlier.wf + later.wf,
    wtf: earlier.wtf + later.wtf + shift * later.wf,
    noise: earlier.noise + later.noise,
    variance: earlier.variance + later.variance,
    bend: earlier.bend + later.bend,
    bends: earlier.bends + later.bends,
    frame: [...earlier.frame, ...later.frame],
    hz: [...earlier.hz, ...later.hz],
    power: [...earlier.power, ...later.power],
    stride: Math.max(earlier.stride, later.stride),
    openEnd: later.openEnd,
  };
  joined.pending = joined.stride;
  while (joined.frame.length > mostPoints) thin(joined);
  return joined;
}
