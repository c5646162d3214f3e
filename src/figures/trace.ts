/** What a long trace shows, for the page to hand to its canvas charts. Plain data, no drawing here. */

export interface TraceInput {
  timeS: readonly number[];
  speedMps: readonly (number | null)[];
  powerW: readonly (number | null)[];
  airspeedMps: readonly (number | null)[];
  altitudeM: readonly (number | null)[];
}

export interface TraceStrip {
  name: string;
  unit: string;
  decimals: number;
  /** One or two lines on the same scale; the second is drawn thinner. */
  lines: { name: string; values: (number | null)[] }[];
}

export interface TraceSpan {
  fromS: number;
  toS: number;
  kind: 'lap' | 'left-out';
  label: string;
}

const scaled = (values: readonly (number | null)[], factor: number): (number | null)[] =>
  values.map((value) => (value === null || !Number.isFinite(value) ? null : value * factor));

const present = (values: readonly (number | null)[]): boolean =>
  values.some((value) => value !== null && Number.isFinite(value));

/** Strips from top to bottom: speed (with airspeed), power, altitude; only what the recording has. */
export function traceStrips(trace: TraceInput): TraceStrip[] {
  const speeds = [{ name: 'speed', values: scaled(trace.speedMps, 3.6) }];
  if (present(trace.airspeedMps)) {
    speeds.push({ name: 'airspeed', values: scaled(trace.airspeedMps, 3.6) });
  }
  const strips: TraceStrip[] = [
    {
      name: speeds.length > 1 ? 'speed and airspeed' : 'speed',
      unit: 'km/h',
      decimals: 1,
      lines: speeds,
    },
    {
      name: 'power',
      unit: 'W',
      decimals: 0,
      lines: [{ name: 'power', values: scaled(trace.powerW, 1) }],
    },
    {
      name: 'altitude',
      unit: 'm',
      decimals: 1,
      lines: [{ name: 'altitude', values: scaled(trace.altitudeM, 1) }],
    },
  ];
  return strips.filter((strip) => strip.lines.some((line) => present(line.values)));
}

export interface TracedLap {
  lap: number;
  fromS: number;
  toS: number;
  used: boolean;
  reason: string | null;
  leftOut: readonly { fromS: number; toS: number; reason: string }[];
}

/** Laps and left-out stretches to shade behind the lines. A lap not used is left out as a whole. */
export function traceSpans(laps: readonly TracedLap[]): TraceSpan[] {
  return laps.flatMap((lap): TraceSpan[] => [
    { fromS: lap.fromS, toS: lap.toS, kind: 'lap', label: `lap ${lap.lap}` },
    ...(lap.used
      ? lap.leftOut.map((span): TraceSpan => ({
          fromS: span.fromS,
          toS: span.toS,
          kind: 'left-out',
          label: span.reason,
        }))
      : [
          {
            fromS: lap.fromS,
            toS: lap.toS,
            kind: 'left-out' as const,
            label: lap.reason ?? 'left out',
          },
        ]),
  ]);
}

interface LeftOutSpan {
  fromS: number;
  toS: number;
  reason: string;
}

/** Stretches that touch and have one reason, as one: what a person would call one event. */
export function joinSpans(spans: readonly LeftOutSpan[]): LeftOutSpan[] {
  const joined: LeftOutSpan[] = [];
  for (const span of [...spans].sort((a, b) => a.fromS - b.fromS)) {
    const last = joined[joined.length - 1];
    if (last && last.reason === span.reason && span.fromS <= last.toS + 1) {
      joined[joined.length - 1] = { ...last, toS: Math.max(last.toS, span.toS) };
    } else joined.push(span);
  }
  return joined;
}
