/** What each cause predicts of every tone heard. Spokes that are known stand in spoke-cause.ts. */
import {
  logBraked,
  normal,
  spokeCauses,
  type Cause,
  type CauseInputs,
  type Setting,
  type SpokeCauseId,
} from './cause.ts';
import { logFit, residualOf, type Residual } from './fit.ts';
import type { Hearing, Piece } from './hearing.ts';
import { groupOf } from './model.ts';
import {
  anySpokeHz,
  brakeUnit,
  knownPassing,
  needsBrake,
  outsideDensity,
  spokeScatter,
  structureScatter,
  tonalRangeHz,
  turningRangeHz,
  turningScatter,
  turningUnknownSpeed,
  unknownScatter,
  unknownSpokeSlopes,
  type Scatter,
} from './priors.ts';
import { spokeCause } from './spoke-cause.ts';

const flat = (lnHz: number, { low, high }: { low: number; high: number }): number =>
  lnHz >= Math.log(low) && lnHz <= Math.log(high) ? 1 / Math.log(high / low) : outsideDensity;

/** Centres are tried this far apart, in ln f. */
const stepLnHz = 0.001;

interface Centred {
  /** ln f that a piece would have with a centre of 0. */
  expected: (piece: Piece) => number | null;
  /** Density over the centre. */
  prior: (centre: number) => number;
  scatters: readonly Scatter[];
  needs: boolean;
  log: number;
}

/** Settings of something that sounds about one centre, wherever that lies near a tone heard. */
function centred(hearing: Hearing, { expected, prior, scatters, needs, log }: Centred): Setting[] {
  const rests = hearing.heard.map(({ pieces }) => residualOf(pieces, expected));
  return scatters.map(({ tone, piece, weight }): Setting => {
    const cells = cellsNear(rests, 2.5 * tone + 0.002);
    return {
      log: log + Math.log(weight),
      needsBrake: needs,
      shares: cells.map((cell) => prior(cell * stepLnHz) * stepLnHz),
      fits: cells.map((cell) =>
        Float64Array.from(rests, (rest) =>
          rest === null ? -Infinity : logFit(rest, cell * stepLnHz, tone, piece),
        ),
      ),
    };
  });
}

function cellsNear(rests: readonly (Residual | null)[], reach: number): number[] {
  const cells = new Set<number>();
  for (const rest of rests) {
    if (rest === null) continue;
    const low = Math.floor((rest.mean - reach) / stepLnHz);
    for (let cell = low; cell <= low + (2 * reach) / stepLnHz + 1; cell++) cells.add(cell);
  }
  return [...cells];
}

const stays = (): number => 0;

function brakeUnitCause(id: 'brake-unit-squeal' | 'brake-unit-chatter', hearing: Hearing): Cause {
  const { hz, spread } = brakeUnit[id];
  const prior = (lnHz: number): number => normal(lnHz, Math.log(hz), spread);
  return {
    id,
    most: 1,
    settings: centred(hearing, {
      expected: stays,
      prior,
      scatters: structureScatter,
      needs: true,
      log: 0,
    }),
    pitchDensity: prior,
  };
}

function noneCause(hearing: Hearing): Cause {
  const prior = (lnHz: number): number => flat(lnHz, tonalRangeHz);
  const of = (needs: boolean, share: number): Setting[] =>
    centred(hearing, {
      expected: stays,
      prior,
      scatters: unknownScatter,
      needs,
      log: Math.log(share),
    });
  return {
    id: 'none-of-these',
    most: 1,
    settings: [...of(true, needsBrake.none), ...of(false, 1 - needsBrake.none)],
    pitchDensity: prior,
  };
}

/** Pitch in proportion to the wheel's speed; where that is not known, a pitch that moves as speeds do. */
function turningCause(hearing: Hearing, counts: readonly number[]): Cause {
  const { speedKnown } = hearing;
  const pieces = hearing.heard.flatMap((one) => one.pieces);
  const meanWheel = mean(pieces.flatMap(({ lnWheel }) => lnWheel ?? []));
  const { share, spread } = knownPassing;
  const known = (lnHz: number): number =>
    mean(counts.map((count) => normal(lnHz - meanWheel, Math.log(count), spread)));
  const prior = (centre: number): number => {
    const lnHz = speedKnown ? centre + meanWheel : centre;
    const anywhere = flat(lnHz, turningRangeHz);
    return speedKnown && counts.length > 0
      ? (1 - share) * anywhere + share * known(lnHz)
      : anywhere;
  };
  const of = (needs: boolean, part: number): Setting[] =>
    centred(hearing, {
      expected: speedKnown ? ({ lnWheel }) => lnWheel : stays,
      prior,
      scatters: speedKnown ? turningScatter : turningUnknownSpeed,
      needs,
      log: Math.log(part),
    });
  return {
    id: 'turning-with-the-wheel',
    most: 1,
    settings: [...of(true, needsBrake.turning), ...of(false, 1 - needsBrake.turning)],
    pitchDensity: (lnHz) => flat(lnHz, turningRangeHz),
  };
}

/** Spokes of which nothing is known: anywhere that spokes are heard, falling, rising or staying with torque. */
function unknownSpokes(id: SpokeCauseId, hearing: Hearing): Cause {
  const sign = { 'spokes-losing-disc-side': -1, 'spokes-gaining-disc-side': 1, 'spokes-other': 0 };
  const slopes = sign[id] === 0 ? [0] : unknownSpokeSlopes.map((slope) => sign[id] * slope);
  const prior = (lnHz: number): number => flat(lnHz, anySpokeHz);
  const { torqueError } = hearing;
  return {
    id,
    most: 1,
    settings: slopes.flatMap((slope) =>
      centred(hearing, {
        expected: ({ lnTorque }) => slope * lnTorque,
        prior,
        scatters: spokeScatter.map(({ tone, piece, unsteady, weight }) => ({
          tone: Math.hypot(tone, slope * torqueError.tones * Math.max(0.5, unsteady)),
          piece: Math.hypot(piece, slope * torqueError.pieces * unsteady),
          weight,
        })),
        needs: true,
        log: -Math.log(slopes.length),
      }),
    ),
    pitchDensity: prior,
  };
}

const mean = (values: readonly number[]): number =>
  values.length === 0 ? 0 : values.reduce((sum, value) => sum + value, 0) / values.length;

/** All causes that can be held against a sound. A cause whose spokes this wheel has not is left out. */
export function causesOf(inputs: CauseInputs): Cause[] {
  const { hearing, spokes, counts } = inputs;
  const bySpokes = spokeCauses.flatMap((id): Cause[] => {
    if (spokes.length === 0) return [unknownSpokes(id, hearing)];
    const own = spokes.filter((one) => groupOf(one) === id);
    return own.length === 0 ? [] : [spokeCause(id, own, inputs)];
  });
  return [
    ...bySpokes,
    brakeUnitCause('brake-unit-squeal', hearing),
    brakeUnitCause('brake-unit-chatter', hearing),
    turningCause(hearing, counts),
    noneCause(hearing),
  ];
}

/**
 * Log density of each tone as a stray: near a tone heard before it (a stray sounds again) or anywhere.
 */
export function strayFits(hearing: Hearing): Float64Array {
  const { heard } = hearing;
  const rests = heard.map(({ pieces }) => residualOf(pieces, stays));
  return Float64Array.from(heard, (one, i) => {
    const rest = rests[i];
    if (rest === null) return -Infinity;
    let density = 0;
    const scale = Math.max(...unknownScatter.map(({ piece }) => logFit(rest, rest.mean, 0, piece)));
    for (const { tone, piece, weight } of unknownScatter) {
      const within = Math.exp(logFit(rest, rest.mean, 0, piece) - scale);
      const own = normal(0, 0, Math.sqrt((piece ** 2 + rest.noise) / rest.count));
      const again = rests
        .slice(0, i)
        .map((other) =>
          normal(
            rest.mean,
            other?.mean ?? 0,
            Math.hypot(1.4 * tone, piece / Math.sqrt(rest.count)),
          ),
        );
      const place =
        (again.reduce((sum, value) => sum + value, 0) + flat(rest.mean, tonalRangeHz)) / (1 + i);
      // The density of the whole is that of the mean times that of the pieces about it.
      density += (weight * within * place) / own;
    }
    return scale + Math.log(density) + logBraked(one, hearing, null);
  });
}
