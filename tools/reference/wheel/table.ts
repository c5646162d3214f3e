/**
 * Writes docs/methods/wheel-checks.md: wheels in CalculiX beside the same wheels here.
 * Run from the project folder: node tools/reference/wheel/table.ts
 */
import fs from 'node:fs';
import { pathToFileURL } from 'node:url';
import {
  differences,
  names,
  outsideWheel,
  slackPair,
  states,
  turnDifference,
} from '../../../test/core/structure/outside/comparison.ts';
import type { Difference } from '../../../test/core/structure/outside/comparison.ts';

const percent = (x: number): string => `${(100 * x).toFixed(2)} %`;
const row = (cells: readonly (string | number)[]): string => `| ${cells.join(' | ')} |`;

function table(head: readonly string[], right: number, rows: readonly string[][]): string {
  const rule = head.map((_, i) => (i < right ? '---' : '---:'));
  return [head, rule, ...rows].map(row).join('\n');
}

const words = (load: string): string => load.replaceAll('-', ' ');

/** Plain and shear-flexible answers of one wheel in one state. */
function stiffnessRows(name: string, state: Difference['state']): string[][] {
  const sheared = differences(name, state, true);
  return differences(name, state).map((plain, i) => [
    outsideWheel(name).wheel.name,
    words(plain.load),
    plain.outsideNPerMm.toFixed(2),
    plain.oursNPerMm.toFixed(2),
    percent(plain.stiffness),
    percent(plain.spokeForces),
    percent(sheared[i].stiffness),
  ]);
}

function slackRows(): string[][] {
  const loads = ['lateral-at-spoke', 'radial-at-spoke'] as const;
  return names
    .filter((name) => outsideWheel(name).slack !== null)
    .flatMap((name) =>
      loads.map((load) => {
        const { theirs, ours, oursM, meanTensionN } = slackPair(outsideWheel(name), load);
        const numbers = (slack: boolean[]): string =>
          slack.flatMap((is, i) => (is ? [i + 1] : [])).join(', ');
        return [
          outsideWheel(name).wheel.name,
          words(load),
          theirs.forceN.toFixed(1),
          numbers(theirs.spokeTensionN.map((tension) => tension < 1e-4 * meanTensionN)),
          numbers(ours.slack),
          (1e3 * theirs.loadPointM).toFixed(4),
          (1e3 * oursM).toFixed(4),
          percent(oursM / theirs.loadPointM - 1),
        ];
      }),
    );
}

/** The whole document. */
export function wheelChecks(): string {
  const { program, date } = outsideWheel(names[0]);
  const head = ['wheel', 'load', 'CalculiX N/mm', 'Lapbench N/mm', 'difference'];
  const more = ['largest in spoke forces', 'difference with shear'];
  const turns = names.map((name) => {
    const outside = outsideWheel(name);
    const { tension, lateral, radial } = turnDifference(outside);
    return [outside.wheel.name, percent(tension), percent(lateral), percent(radial)];
  });
  const titles = { linear: 'Without pretension', tensioned: 'With pretension' };
  return `# Wheel mechanics beside CalculiX

Written by \`tools/reference/wheel/table.ts\`; do not edit by hand. Outside program: ${program.replace(/^This is /, 'CalculiX, ').replace(/\.$/, '')} (Debian calculix-ccx), solved ${date}; decks by \`tools/reference/wheel/calculix.py\`. The wheels are invented.

Each rim is a solid rectangle with the wheel's EI and GJ, four quadratic beams (B32R, made into bricks) from spoke to spoke; here eight straight beams between the same points. Spokes are two-node springs of stiffness E·A/L. A unit load acts on the centroid line, the hub is held; a tangential force at the rim is the hub's torque against a rim held there. Differences of spoke forces are over the largest change of force. The bricks shear and thin beams do not: the last column counts the rectangle's shear here too, and what remains is the polygon and, under tension, what Lapbench leaves out, above all (we think; not separated) the bending of the rim at rest.

${states
  .map(
    (state) =>
      `## ${titles[state]}\n\n${table(
        [...head, ...more],
        2,
        names.flatMap((name) => stiffnessRows(name, state)),
      )}`,
  )
  .join('\n\n')}

## One turn of the first nipple

Largest difference of any spoke's tension and of the rim's trueness, over the largest value; with pretension, shear counted.

${table(['wheel', 'tension', 'lateral', 'radial'], 1, turns)}

## Spokes going slack

Springs that never push, a tenth of the tension, twice the load that takes the first spoke's. CalculiX follows large displacements, Lapbench does not: at full tension and one and a half times the load that takes the first spoke's, the two 32-spoke wheels gave 34 and 51 % more sideways in CalculiX than here (tried once, not in the files). Read a load far past the first slack spoke as a warning, not as a number, and leave strength to the makers' limits and a qualified wheel builder.

${table(['wheel', 'load', 'N', 'slack in CalculiX', 'slack here', 'CalculiX mm', 'Lapbench mm', 'difference'], 2, slackRows())}
`;
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  fs.writeFileSync('docs/methods/wheel-checks.md', wheelChecks());
}
