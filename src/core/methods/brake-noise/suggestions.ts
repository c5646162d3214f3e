/** What to try for the likely causes. */
import type { Wheel } from '../../evidence/index.ts';
import type { CauseId, Explanation, Suggestion } from './result.ts';

/** Below this a cause is not worth a change of parts. */
const worthTrying = 0.15;

/** Changes to try for the likely causes, each with what the next recording would then show. */
export function suggestionsFor(
  explanations: readonly Explanation[],
  wheel: Wheel | null,
): Suggestion[] {
  const said = new Set<string>();
  return explanations
    .filter(({ odds }) => odds >= worthTrying)
    .flatMap(({ id, tones, predictedHz }) =>
      changesFor(id, tones.length > 0, predictedHz[0], wheel),
    )
    .filter(({ change, expect }) => {
      const words = `${change} ${expect}`;
      return said.has(words) ? false : said.add(words);
    });
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
  const byTurns = (expect: string): Suggestion => ({
    for: id,
    change:
      'The same descent with soft and firm braking by turns, each held for three seconds or more, at about the same speed.',
    expect,
  });
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
    byTurns('The pitch stays within a percent or so; if it moves, think of spokes.'),
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
    'spokes-losing-disc-side': [
      byTurns('The tone is lower under firm braking than under soft; else it is not these spokes.'),
      ...spokeChanges,
      ...(wheel === null ? [] : [lacing]),
    ],
    'spokes-gaining-disc-side': [
      byTurns(
        'The tone is higher under firm braking than under soft; else it is not these spokes.',
      ),
      ...spokeChanges,
      ...(wheel === null ? [] : [lacing]),
    ],
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
