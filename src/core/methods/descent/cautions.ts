/** Said with every descent; part of the result, and not to be switched off. */
import type { DescentVerdict } from './limits.ts';

const always = [
  'Computed from a sheet, not measured on your brakes. The limits of the makers of brake, rotor, pads, wheel and frame come before every number here.',
  '“Within” speaks of heat alone: not of grip, of stopping, of traffic, or of whether this road can be ridden. It is no invitation to ride it; local law and the state of the road decide that.',
  'Have a qualified mechanic look at brakes that are to be used on such a road, and again when a rotor has turned blue or brown, a lever has gone soft, or pads have glazed.',
  'Rotor and caliper burn skin long after the ride. Let them cool in air; no water.',
];

/** Cautions for a verdict. */
export function cautionsFor(verdict: DescentVerdict): string[] {
  if (verdict === 'within') return always;
  return [
    verdict === 'beyond'
      ? 'Do not ride this descent this way on these brakes: they are more likely than not to pass a limit, and may fail without a sign before it.'
      : 'Some of what is likely lies above a limit: treat these brakes as not enough until a measured cool-down or a larger margin says otherwise.',
    'When a lever goes soft or braking fades: stop while you can, and walk.',
    ...always,
  ];
}
