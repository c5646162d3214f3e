/** A ride recording laid beside a sound: the turns of the wheel in the sound's own clock. */
import type { Recording, SoundFormat } from '../core/evidence/index.ts';
import type { BrakeNoiseFinding } from '../core/methods/index.ts';
import type { WheelSpeed } from '../core/signal/index.ts';
import type { Problem } from '../core/units/index.ts';

/**
 * Rolling circumference where nothing is told: π times the outer diameter 622 mm + 2 · 28 mm of a 28-622 tyre
 * (ISO 5775-1: rim diameter and section width, the tyre taken as high as it is wide). Under a rider it rolls about
 * 1 % less (common practice, no source).
 */
export const usualCircumferenceM = (Math.PI * (622 + 2 * 28)) / 1000;

/** Where in the ride the sound begins, as far as a person says. */
export interface RidePlace {
  /** Seconds from the ride's first sample. */
  startS: number | null;
  /** How far the sound recorder's zone is ahead of UTC, minutes. */
  zoneMinutes: number | null;
  circumferenceM: number | null;
}

export interface AlignedRide {
  /** Null when the ride could not be laid beside the sound, or tells no speed. */
  wheelSpeed: WheelSpeed | null;
  alignment: BrakeNoiseFinding['alignment'];
  warnings: Problem[];
}

/** What two clocks that were set by themselves may differ by, s, and how well a person can tell a moment (no source). */
const clockUncertaintyS = 2;
const toldUncertaintyS = 1;
/** Zones lie at whole quarters; a guess is made from whole hours only. */
const zonesH = Array.from({ length: 27 }, (_, i) => i - 12);

/** Lays the ride beside the sound. Never throws: without a place in the ride the speed is left out, and that is said. */
export function alignRide(
  sound: { format: SoundFormat; durationS: number },
  ride: Recording,
  place: RidePlace,
): AlignedRide {
  const found = placeInRide(sound, ride, place);
  const warnings = found.warning ? [found.warning] : [];
  if (found.alignment === null) return { wheelSpeed: null, alignment: null, warnings };
  const speed = speedOf(ride);
  if (speed === null) {
    warnings.push({
      code: 'sound-not-aligned',
      file: ride.file,
      message:
        'The ride recording holds neither speed nor distance, so no tone can be held against the wheel.',
      remedy: 'Give a recording of the ride with speed.',
    });
    return { wheelSpeed: null, alignment: null, warnings };
  }
  const circumferenceM = place.circumferenceM ?? usualCircumferenceM;
  const { offsetS } = found.alignment;
  return {
    wheelSpeed: {
      timeS: speed.timeS.map((t) => t - offsetS),
      wheelHz: speed.speedMps.map((v) => v / circumferenceM),
    },
    alignment: found.alignment,
    warnings,
  };
}

type Placed = { alignment: BrakeNoiseFinding['alignment']; warning: Problem | null };

function placeInRide(
  { format, durationS }: { format: SoundFormat; durationS: number },
  ride: Recording,
  { startS, zoneMinutes }: RidePlace,
): Placed {
  const rideS = ride.timeS[ride.timeS.length - 1] ?? 0;
  const overlaps = (offsetS: number): boolean => offsetS < rideS && offsetS + durationS > 0;
  const within = (offsetS: number): boolean => offsetS > -30 && offsetS + durationS < rideS + 30;
  const not = (message: string, remedy: string): Placed => ({
    alignment: null,
    warning: { code: 'sound-not-aligned', file: ride.file, message, remedy },
  });
  const tell = 'Say where in the ride the sound begins, h:mm:ss from the start of the recording.';
  if (startS !== null) {
    if (!overlaps(startS))
      return not(
        `The sound is said to begin ${clock(startS)} into the ride, which lasts ${clock(rideS)}.`,
        tell,
      );
    const alignment = { offsetS: startS, how: 'told', uncertaintyS: toldUncertaintyS } as const;
    return { alignment, warning: null };
  }
  const began = format.startEpochS ?? null;
  if (began === null || ride.startEpochS === null) {
    const which = began === null ? 'The sound file' : 'The ride recording';
    return not(
      `${which} does not say when it was recorded, so the two cannot be laid together.`,
      tell,
    );
  }
  const byClock = (zone: number): number => began - 60 * zone - ride.startEpochS!;
  const aligned = (offsetS: number): Placed['alignment'] => ({
    offsetS,
    how: 'clock',
    uncertaintyS: clockUncertaintyS,
  });
  const zone = format.startClock === 'local' ? zoneMinutes : 0;
  if (zone === null) {
    const fitting = zonesH.filter((hours) => within(byClock(60 * hours)));
    if (fitting.length === 1) {
      const [hours] = fitting;
      return {
        alignment: aligned(byClock(60 * hours)),
        warning: {
          code: 'sound-not-aligned',
          file: ride.file,
          message: `The sound file gives a time of day without a zone; it was taken as UTC${hours < 0 ? '−' : '+'}${Math.abs(hours)}, the only full hour with which it lies inside the ride.`,
          remedy: 'If that is wrong, say the zone, or where in the ride the sound begins.',
        },
      };
    }
    return not(
      fitting.length === 0
        ? 'The sound file gives a time of day without a zone, and with none does it lie inside the ride.'
        : 'The sound file gives a time of day without a zone, and the ride is long enough for several.',
      `Say the zone of the recorder’s clock (+02:00). Or: ${tell}`,
    );
  }
  const offsetS = byClock(zone);
  if (overlaps(offsetS)) return { alignment: aligned(offsetS), warning: null };
  const apart = offsetS < 0 ? 'before it' : 'after it';
  return not(
    `By their clocks the sound was not recorded during the ride but ${clock(Math.abs(offsetS < 0 ? offsetS + durationS : offsetS - rideS))} ${apart}.`,
    `One of the clocks may be wrong, or another ride is meant. ${tell}`,
  );
}

function speedOf({ timeS, channels }: Recording): { timeS: number[]; speedMps: number[] } | null {
  const { speedMps, distanceM } = channels;
  if (speedMps) return { timeS: [...timeS], speedMps: [...speedMps] };
  if (!distanceM) return null;
  const times: number[] = [];
  const speeds: number[] = [];
  for (let i = 1; i < timeS.length; i++) {
    times.push((timeS[i] + timeS[i - 1]) / 2);
    speeds.push((distanceM[i] - distanceM[i - 1]) / (timeS[i] - timeS[i - 1]));
  }
  return { timeS: times, speedMps: speeds };
}

/** h:mm:ss */
function clock(s: number): string {
  const whole = Math.round(Math.abs(s));
  const two = (n: number): string => String(n).padStart(2, '0');
  const text = `${Math.floor(whole / 3600)}:${two(Math.floor(whole / 60) % 60)}:${two(whole % 60)}`;
  return s < 0 ? `−${text}` : text;
}
