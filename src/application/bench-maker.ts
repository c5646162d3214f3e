/** Makes what can be made of a bench item, by the same functions as the commands. */
import { LapbenchError } from '../core/units/index.ts';
import type { BenchInput, BenchOutcome } from './bench-making.ts';
import type { NamedText } from './bench-text.ts';
import type { BenchKind, BenchOptions, BenchResults } from './contract.ts';
import { stiffnessHeadline } from './describe-stiffness.ts';
import { tensionHeadline } from './describe-tension.ts';
import { wheelHeadline } from './describe-wheel.ts';
import { reduceStiffness } from './reduce-stiffness.ts';
import { reduceTension } from './reduce-tension.ts';
import { reduceWheel } from './reduce-wheel.ts';

/** The compiler holds these to the methods: where one goes up, what is stored is made afresh. */
const versions: { [Kind in BenchKind]: BenchResults[Kind]['method'] } = {
  stiffness: 'stiffness 1',
  tension: 'tension 1',
  wheel: 'wheel 1',
};

/** All three together: the plan for the nipples rests on the wheel. */
export const benchVersion = Object.values(versions).join(', ');

/** A mistake in the input is an outcome, not a failure. */
export function makeBench(input: BenchInput): BenchOutcome {
  try {
    return made(input);
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    const { problems } = error;
    const headline = whyNone(input.kind, input.input, problems[0].message);
    return { result: null, problems, method: '', headline };
  }
}

function made({ kind, input, options, wheel }: BenchInput): BenchOutcome {
  if (kind === 'stiffness') {
    const readings: NamedText = { text: input, file: 'readings' };
    const result = reduceStiffness(readings, options as BenchOptions['stiffness']);
    return outcome(result, stiffnessHeadline(result));
  }
  if (kind === 'wheel') {
    const { benchLateralNPerMm, benchLateralCi95 } = options as BenchOptions['wheel'];
    const result = reduceWheel(
      { text: input, file: 'wheel sheet' },
      { compare: wheel && named(wheel), benchLateralNPerMm, benchLateralCi95 },
    );
    return outcome(result, wheelHeadline(result));
  }
  const { calibration, known, ...rest } = options as BenchOptions['tension'];
  const result = reduceTension(
    { text: input, file: 'readings' },
    {
      ...rest,
      calibration: calibration.trim() === '' ? null : { text: calibration, file: 'calibration' },
      known: known && { ...known, standardUncertaintyN: 0 },
    },
    wheel && named(wheel),
  );
  return outcome(result, tensionHeadline(result));
}

/** The other wheel, by the name of its item. */
const named = ({ title, sheet }: NonNullable<BenchInput['wheel']>): NamedText => ({
  text: sheet,
  file: title,
});

function outcome(result: BenchResults[BenchKind], headline: string): BenchOutcome {
  return { result, problems: [], method: result.method, headline };
}

/** A form that is still being filled in is not called a mistake. */
function whyNone(kind: BenchKind, input: string, problem: string): string {
  const rows = input.split('\n').filter((line) => !/^\s*(#.*)?$/.test(line));
  const readings = Math.max(0, rows.length - 1);
  if (kind === 'wheel' || readings > 2) return `No result: ${problem}`;
  return `${readings} ${readings === 1 ? 'reading' : 'readings'}, no result yet.`;
}
