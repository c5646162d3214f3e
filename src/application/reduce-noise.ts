/** Analysed sounds, wheel, tensions and ride in; what made the noise out. */
import type { PluckSound, Recording } from '../core/evidence/index.ts';
import { estimateBrakeNoise } from '../core/methods/index.ts';
import { LapbenchError, standardGravityMps2, type Problem } from '../core/units/index.ts';
import { alignRide, type RidePlace } from './align-ride.ts';
import type { AnalysedSound } from './analysed-sound.ts';
import type { NamedText } from './bench-text.ts';
import type { BrakeNoiseFinding, HeardPluck, PluckFinding } from './contract-sounds.ts';
import { sha256 } from './edges.ts';
import { placedInSheet, readWheel } from './read-wheel.ts';
import { reduceTension } from './reduce-tension.ts';

/** A sound with the name that a person knows it by, and its hash. */
export interface NamedSound {
  file: string;
  sha256: string;
  analysed: AnalysedSound;
}

/** Plucks under one torque. */
export interface PluckRecording extends NamedSound {
  brakeTorqueNm: number;
  /** In the order plucked; null: from 1 round the wheel. */
  spokes: readonly number[] | null;
  /** By number from 1, in order of time. */
  leaveOut?: readonly number[];
}

export interface NoiseQuestions {
  sound: NamedSound;
  plucks?: readonly PluckRecording[];
  wheel?: NamedText | null;
  /** Table of spokes with their tensions. */
  tensions?: NamedText | null;
  /** Tensions by spoke, where they are known already; instead of a table. */
  tensionsN?: ReadonlyMap<number, number> | null;
  ride?: { recording: Recording; sha256: string } | null;
  place?: RidePlace;
  brakeTorqueNm?: number | null;
  rotorSlots?: number | null;
  treadBlocks?: number | null;
}

const byClocks: RidePlace = { startS: null, zoneMinutes: null, circumferenceM: null };

/**
 * The odds of what made the noise.
 *
 * @throws LapbenchError when a sheet or table is wrong, a value cannot be, or the wheel cannot stand
 */
export function reduceNoise(questions: NoiseQuestions): BrakeNoiseFinding {
  const { sound, plucks = [], wheel = null, tensions = null, ride = null } = questions;
  const { format, levels, channelUsed, tracks, warnings } = sound.analysed;
  const sheet = wheel && readWheel(wheel);
  const table = tensions === null ? null : reduceTension(tensions, { as: 'tension' }, wheel);
  const laid =
    ride &&
    alignRide({ format, durationS: levels.durationS }, ride.recording, questions.place ?? byClocks);
  const inputs = [
    ...[sound, ...plucks].map(({ file, sha256: hash }) => ({ file, sha256: hash })),
    ...(ride ? [{ file: ride.recording.file, sha256: ride.sha256 }] : []),
    ...[wheel, tensions].flatMap((one) =>
      one === null ? [] : [{ file: one.file, sha256: sha256(one.text) }],
    ),
  ];
  return inSheet(wheel, sheet, () =>
    estimateBrakeNoise({
      sound: { ...format, ...levels, file: sound.file, channelUsed },
      tracks,
      wheelSpeed: laid?.wheelSpeed ?? null,
      alignment: laid?.alignment ?? null,
      sessions: plucks.map(sessionOf),
      wheel: sheet && sheet.wheel,
      tensions: table
        ? new Map(table.spokes.map(({ spoke, tensionN }) => [spoke, tensionN]))
        : (questions.tensionsN ?? null),
      brakeTorqueNm: questions.brakeTorqueNm ?? null,
      passing: [
        { name: 'rotor slots', count: questions.rotorSlots ?? null },
        { name: 'tread blocks', count: questions.treadBlocks ?? null },
      ].flatMap(({ name, count }) => (count === null ? [] : [{ name, count }])),
      inputs,
      warnings: [
        ...warnings,
        ...plucks.flatMap(({ analysed }) => analysed.warnings),
        ...(table?.warnings ?? []),
        ...(laid?.warnings ?? []),
      ],
    }),
  );
}

/**
 * What one recording of plucks tells by itself.
 *
 * @throws LapbenchError when the wheel sheet is wrong or the wheel cannot stand
 */
export function reducePlucks(
  recording: PluckRecording,
  wheel: NamedText | null = null,
): PluckFinding {
  const { analysed, brakeTorqueNm, leaveOut = [] } = recording;
  const sheet = wheel && readWheel(wheel);
  const { format, levels, channelUsed } = analysed;
  const finding = inSheet(wheel, sheet, () =>
    estimateBrakeNoise({
      sound: { ...format, ...levels, file: recording.file, channelUsed },
      tracks: [],
      wheelSpeed: null,
      alignment: null,
      sessions: [sessionOf(recording)],
      wheel: sheet && sheet.wheel,
      tensions: null,
      brakeTorqueNm: null,
      passing: [],
      inputs: [{ file: recording.file, sha256: recording.sha256 }],
      warnings: analysed.warnings,
    }),
  );
  const assigned = [...finding.plucks];
  const heard = (analysed.plucks ?? []).map((sound, i): HeardPluck => {
    const out = leaveOut.includes(i + 1);
    const pluck = out ? null : assigned.shift()!;
    const partial = sound.partials[sound.fundamental];
    const half = 1.96 * (partial?.standardUncertaintyHz ?? 0);
    const { atS, endS, ringing, doubts, partials } = sound;
    return {
      pluck: i + 1,
      ...{ atS, endS, ringing, doubts, partials },
      hz: partial?.hz ?? null,
      ci95: partial ? [partial.hz - half, partial.hz + half] : null,
      q: partial?.q ?? null,
      spoke: pluck?.spoke ?? null,
      tensionN: pluck?.tensionN ?? null,
      tensionCi95: pluck?.tensionCi95 ?? null,
      used: pluck?.used ?? false,
      reason: out ? 'Left out by hand.' : (pluck?.reason ?? null),
    };
  });
  return {
    brakeTorqueNm,
    heard,
    curves: finding.curves,
    // That no howl is heard among plucks is no fault of theirs.
    warnings: finding.warnings.filter(({ code }) => code !== 'tones-none'),
  };
}

function sessionOf({ file, brakeTorqueNm, spokes, leaveOut = [], analysed }: PluckRecording) {
  const plucks: PluckSound[] = (analysed.plucks ?? []).filter((_, i) => !leaveOut.includes(i + 1));
  return { file, brakeTorqueNm, plucks, spokes };
}

/** Torque of a weight on a level lever, N m. */
export function leverTorqueNm({ massKg, lengthM }: { massKg: number; lengthM: number }): number {
  return massKg * standardGravityMps2 * lengthM;
}

function inSheet<Finding extends { warnings: Problem[] }>(
  wheel: NamedText | null,
  sheet: ReturnType<typeof readWheel> | null,
  make: () => Finding,
): Finding {
  const placed = (problem: Problem): Problem =>
    wheel && sheet && problem.code.startsWith('wheel-')
      ? placedInSheet(problem, wheel.file, sheet.placeOf)
      : problem;
  try {
    const finding = make();
    return { ...finding, warnings: finding.warnings.map(placed) };
  } catch (error) {
    if (error instanceof LapbenchError) throw new LapbenchError(error.problems.map(placed));
    throw error;
  }
}
