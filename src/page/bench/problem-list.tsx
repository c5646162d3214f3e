import type { Problem } from '../../application/contract.ts';
import { placeText } from '../parts/problems.tsx';

export interface ProblemAction {
  text: string;
  run: () => void;
}

/** Problems with buttons that mend them; where there are buttons they stand in place of the remedy. */
export function ProblemsToMend({
  problems,
  label,
  actionsFor,
}: {
  problems: readonly Problem[];
  label: string;
  actionsFor: (problem: Problem) => { actions: readonly ProblemAction[]; instead: boolean };
}) {
  if (problems.length === 0) return null;
  return (
    <ul class="problems" aria-label={label}>
      {problems.map((problem, i) => {
        const { line } = problem.place ?? {};
        const { actions, instead } = actionsFor(problem);
        return (
          <li key={i}>
            {line !== undefined && (
              <span class="problem-where">{placeText(undefined, { line })}</span>
            )}
            <span class="problem-what">{problem.message}</span>
            {problem.remedy && !instead && <span class="problem-remedy">{problem.remedy}</span>}
            {actions.length > 0 && (
              <div class="actions">
                {actions.map(({ text, run }) => (
                  <button key={text} type="button" class="button" onClick={run}>
                    {text}
                  </button>
                ))}
              </div>
            )}
          </li>
        );
      })}
    </ul>
  );
}
