import type { Place, Problem } from '../../application/contract.ts';

/** Where the trouble is, in words: `run-1.fit, line 3`. */
export function placeText(file: string | undefined, place: Place = {}): string {
  return [
    file,
    place.line !== undefined && `line ${place.line}`,
    place.run !== undefined && `run ${place.run}`,
    place.lap !== undefined && `lap ${place.lap}`,
    place.byte !== undefined && place.byte > 0 && `byte ${place.byte}`,
    place.sample !== undefined && `sample ${place.sample}`,
    place.timeS !== undefined && `at ${Math.round(place.timeS)} s`,
    place.line === undefined && place.field,
  ]
    .filter((part) => typeof part === 'string' && part.length > 0)
    .join(', ');
}

/** The whole problem on one line. */
export function problemText(problem: Problem): string {
  const where = placeText(problem.file, problem.place);
  return `${where ? `${where}: ` : ''}${problem.message}${problem.remedy ? ` ${problem.remedy}` : ''}`;
}

/** Problems one under the other: where, what, and what to do about it. */
export function ProblemList({
  problems,
  label,
  goTo,
}: {
  problems: readonly Problem[];
  label?: string;
  /** Called with run and lap, for problems that name a lap. */
  goTo?: (run: number, lap: number) => void;
}) {
  if (problems.length === 0) return null;
  return (
    <ul class="problems" aria-label={label}>
      {problems.map((problem, i) => {
        const where = placeText(problem.file, problem.place);
        const { run, lap } = problem.place ?? {};
        return (
          <li key={i}>
            {where && <span class="problem-where">{where}</span>}
            <span class="problem-what">{problem.message}</span>
            {problem.remedy && <span class="problem-remedy">{problem.remedy}</span>}
            {goTo && run !== undefined && lap !== undefined && (
              <button type="button" class="button" onClick={() => goTo(run, lap)}>
                Go to lap {lap} of run {run}
              </button>
            )}
          </li>
        );
      })}
    </ul>
  );
}
