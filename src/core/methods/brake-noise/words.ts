/** Explanations and suggestions in words. */
import type { Wheel } from '../../evidence/index.ts';
import { groupOf, type SoundingSpoke } from './model.ts';
import { brakeUnit } from './priors.ts';
import type { CauseId, Explanation, Suggestion } from './result.ts';
import type { Source } from './sources.ts';

/** A cause's name for people; the disc's side is named where it is known. */
export function causeInWords(id: CauseId, spokes: readonly SoundingSpoke[]): string {
  const sided = spokes.some((one) => one.discSide !== null) ? ', disc side' : '';
  const names: Record<CauseId, string> = {
    'spokes-losing-disc-side': `spokes that lose tension under braking${sided}`,
    'spokes-gaining-disc-side': `spokes that gain tension under braking${sided}`,
    'spokes-other': sided
      ? 'spokes that braking leaves alone or of the other side'
      : 'spokes that braking leaves alone',
    'brake-unit-squeal': 'brake unit itself, squeal',
    'brake-unit-chatter': 'brake unit itself, chatter',
    'turning-with-the-wheel':
      'something that passes as the wheel turns: rotor slots, tread, spokes in the wind',
    'none-of-these': 'none of these',
  };
  return names[id];
}

interface Reasons {
  id: CauseId;
  /** Sources that would belong to it. */
  sources: readonly Source[];
  all: readonly Source[];
  places: readonly { hz: number; torqueNm: number; spoke: number; mode: 1 | 2 }[];
  byChance: number | null;
  spokes: readonly SoundingSpoke[];
}

export function whyInWords(reasons: Reasons): string {
  const sentences = [fitInWords(reasons), speedInWords(reasons), chanceInWords(reasons)];
  return sentences.filter((sentence) => sentence !== '').join(' ');
}

function fitInWords({ id, sources, all, places, spokes }: Reasons): string {
  const heard = all[0].hz.toFixed(0);
  if (id === 'none-of-these')
    return 'What is left when nothing above fits: a tone can come from anywhere.';
  if (id === 'turning-with-the-wheel')
    return all[0].slope === null
      ? 'Whether the pitch follows the wheel cannot be told without a ride recording in which speed changes.'
      : '';
  if (id === 'brake-unit-squeal' || id === 'brake-unit-chatter') {
    const name = id === 'brake-unit-squeal' ? 'squeal' : 'chatter';
    return `Published ${name} lies near ${brakeUnit[id].hz} Hz whatever the disc's speed; the tone is at ${heard} Hz.`;
  }
  const own = spokes.filter((one) => groupOf(one) === id);
  if (spokes.length === 0)
    return `Without plucks or a wheel sheet nothing is known of these spokes but that spokes sound somewhere from 180 to 900 Hz; the tone is at ${heard} Hz.`;
  if (places.length === 0 || sources.length === 0)
    return `None of these ${own.length} spokes is near ${heard} Hz at a torque that braking reaches.`;
  const [{ hz, torqueNm, spoke, mode }] = places;
  const free = spokes.find((one) => one.spoke === spoke)?.hzAt(0, mode);
  const rest = free === null || free === undefined ? '' : `, ${free.toFixed(0)} Hz without torque`;
  const which = mode === 2 ? ' in its second mode' : '';
  return `Spoke ${spoke}${which} would sound at ${hz.toFixed(0)} Hz under ${torqueNm.toFixed(0)} N m${rest}; the tone is at ${sources[0].hz.toFixed(0)} Hz.`;
}

function speedInWords({ id, all }: Reasons): string {
  const { slope } = all[0];
  if (slope === null) return '';
  const turns = Math.abs(slope.value - 1) < Math.max(0.1, 2 * slope.standardUncertainty);
  const stays = Math.abs(slope.value) < Math.max(0.2, 2 * slope.standardUncertainty);
  if (turns && stays) return 'Speed changed too little to say whether the pitch follows the wheel.';
  if (id === 'turning-with-the-wheel')
    return turns
      ? 'Its pitch follows the speed of the wheel.'
      : 'Its pitch does not follow the speed of the wheel.';
  return turns
    ? 'Against it: the pitch follows the speed of the wheel.'
    : stays
      ? 'Its pitch stays while the wheel slows.'
      : '';
}

function chanceInWords({ byChance, sources }: Reasons): string {
  if (byChance === null || sources.length === 0) return '';
  const percent = Math.max(1, Math.round(100 * byChance));
  return `A tone thrown anywhere between 150 and 4000 Hz would fit as well ${percent} times in 100.`;
}

/** Below this a cause is not worth a change of parts. */
const worthTrying = 0.15;

/** Changes to try for the likely causes, each with what the next recording would then show. */
export function suggestionsFor(
  explanations: readonly Explanation[],
  wheel: Wheel | null,
): Suggestion[] {
  return explanations
    .filter(({ odds }) => odds >= worthTrying)
    .flatMap(({ id, tones, predictedHz }) =>
      changesFor(id, tones.length > 0, predictedHz[0], wheel),
    );
}

function changesFor(
  id: CauseId,
  heard: boolean,
  predictedHz: number | undefined,
  wheel: Wheel | null,
): Suggestion[] {
  if (!heard) return [];
  const raised =
    predictedHz === undefined ? 'by about 5 %' : `to about ${(predictedHz * 1.05).toFixed(0)} Hz`;
  const spokeChanges: Suggestion[] = [
    {
      for: id,
      change: 'A tenth more tension in these spokes, if the makers of rim and spokes allow it.',
      expect: `The tone rises ${raised}; if it stays, it is not these spokes.`,
    },
    {
      for: id,
      change: 'Damp the crossing: a turn of tape or a sliver of rubber where the spokes touch.',
      expect: 'The tone weakens or goes while everything else sounds as before.',
    },
  ];
  const lacing: Suggestion = {
    for: id,
    change:
      'A wheel with other lacing or more crossed spokes on the disc side, same brake and rotor.',
    expect: 'The tone moves to where that wheel’s spokes sound under the same torque.',
  };
  const brakeChanges: Suggestion[] = [
    {
      for: id,
      change: 'Other pads of the same shape, bedded in as their maker says.',
      expect: 'The tone changes in strength or goes; the spokes’ pitches stay.',
    },
    {
      for: id,
      change: 'Another rotor of the size that the maker of the frame or fork allows.',
      expect: 'The tone moves with the rotor and not with the wheel.',
    },
  ];
  const all: Record<CauseId, Suggestion[]> = {
    'spokes-losing-disc-side': wheel === null ? spokeChanges : [...spokeChanges, lacing],
    'spokes-gaining-disc-side': wheel === null ? spokeChanges : [...spokeChanges, lacing],
    'spokes-other': spokeChanges,
    'brake-unit-squeal': brakeChanges,
    'brake-unit-chatter': [
      {
        for: id,
        change:
          'The same descent with the brake kept cooler: shorter, harder braking where it is safe.',
        expect: 'Published chatter came only with a hot brake: cool, it stays away.',
      },
      ...brakeChanges,
    ],
    'turning-with-the-wheel': [
      {
        for: id,
        change:
          'The other wheel, or another rotor with another number of slots, at the same speeds.',
        expect: 'The cycles per turn change to the new count.',
      },
    ],
    'none-of-these': [
      {
        for: id,
        change:
          'Record again with the microphone at another place, and once with the other brake alone.',
        expect: 'Where the tone is loudest, there it is made.',
      },
    ],
  };
  return all[id];
}
