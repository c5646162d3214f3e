/** What a person should know beside the tensions. */
import type { Problem } from '../../units/index.ts';
import type { Repeatability } from './model.ts';
import { spans } from './plausible.ts';
import type { PitchCondition, SideRatio, SpokeTension } from './result.ts';

export const cautions = [
  'Never exceed the maker’s maximum tension of rim and spokes, the lower of the two; where it is not known, ask the maker before tightening.',
  'Turning nipples changes a wheel that carries a rider: have it done, or checked before riding, by a qualified wheel builder, and read the tensions again afterwards.',
];

/** Spokes above the maximum. `limitN` is lower than the maximum where the readings' scale is not sure. */
export function sayMaximum(
  spokes: readonly SpokeTension[],
  maximumN: number | null,
  limitN: number | null,
): Problem[] {
  const above = spokes.filter(({ aboveMaximum }) => aboveMaximum);
  if (maximumN === null || limitN === null || above.length === 0) return [];
  const many = above.length > 1;
  const could = limitN < maximumN ? 'may have' : 'has';
  return [
    {
      code: 'tension-above-maximum',
      message: `Spoke${many ? 's' : ''} ${spans(above.map(({ spoke }) => spoke))} ${many ? could.replace('has', 'have') : could} more than the maximum of ${maximumN} N.`,
      remedy: 'Loosen before anything else, and do not ride until it is done.',
    },
  ];
}

/** Spokes that carry nothing: beyond what a reading of zero tells, they may hang loose or be broken. */
export function saySlack(spokes: readonly SpokeTension[]): Problem[] {
  const slack = spokes.filter(({ tensionN }) => tensionN <= 0).map(({ spoke }) => spoke);
  if (slack.length === 0) return [];
  const many = slack.length > 1;
  return [
    {
      code: 'spokes-slack',
      message: `Spoke${many ? 's' : ''} ${spans(slack)} ${many ? 'have' : 'has'} no tension: slack or broken. How far a slack spoke must be drawn in before it pulls is not known here.`,
      remedy:
        'Do not ride. See that spoke and nipple are whole, take the slack up by hand, and read the wheel again before following a plan.',
    },
  ];
}

/** Pitch without a known spoke. */
export function sayEnds({ condition, meanByConditionN: by }: PitchCondition): Problem[] {
  if (condition === 'calibrated') return [];
  return [
    {
      code: 'end-condition',
      message:
        `How firmly the spokes’ ends are held is not known; they are taken as clamped. With pinned ends the mean would be ${by.pinned.toFixed(0)} N instead of ${by.clamped.toFixed(0)} N, ` +
        `${((100 * by.pinned) / by.clamped - 100).toFixed(0)} % more. Differences within a side hold better than the tension itself.`,
      remedy:
        'Measure the tension of one spoke another way and name it as known; pluck spokes free of those that they cross.',
    },
  ];
}

/** Statics leaves no choice of the ratio: what is off is a reading or the sheet. */
export function sayRatio(ratio: SideRatio | null, complete: boolean): Problem[] {
  if (!complete || ratio === null || ratio.demanded === null) return [];
  const { measured, measuredCi95, demanded, differencePercent } = ratio;
  const inside = measuredCi95 && measuredCi95[0] <= demanded && demanded <= measuredCi95[1];
  if (inside || Math.abs(differencePercent!) < 10) return [];
  return [
    {
      code: 'ratio-off',
      message: `Left to right is ${measured.toFixed(3)}, but the geometry of hub and rim demands ${demanded.toFixed(3)}, and a rim at rest keeps it: one side is read wrong, or the sheet is not of this wheel.`,
      remedy:
        'Check the flange offsets in the sheet, and whether gauge table or section hold for the spokes of both sides.',
    },
  ];
}

/** Nothing tells how well a reading repeats. */
export function sayRepeats(repeatability: Repeatability | null): Problem[] {
  if (repeatability !== null) return [];
  return [
    {
      code: 'not-replicated',
      message: 'Every spoke was read once, so how well a reading repeats is not known.',
      remedy: 'Read some spokes, at best all, a second time, and add the readings to the table.',
    },
  ];
}
