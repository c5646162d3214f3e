import { clock, fixed, thin } from '../../figures/index.ts';
import type { StoredRecording } from '../../application/contract.ts';
import { problemsOf, recordingBytes, removeRecording, sendRecording } from '../api.ts';
import type { SheetForm } from '../day/sheet-form.ts';
import type { DayWork } from '../day/use-day.ts';
import { useNotices } from '../parts/notices.tsx';
import { ProblemList } from '../parts/problems.tsx';

/** What a recording holds, in one line. */
export function recordingFacts({ summary }: StoredRecording): string {
  if (!summary) return 'could not be read';
  return [
    clock(summary.durationS),
    summary.meanSpeedMps !== null && `${fixed(summary.meanSpeedMps * 3.6, 1)}${thin}km/h`,
    summary.meanPowerW !== null && `${fixed(summary.meanPowerW, 0)}${thin}W`,
    summary.lapMarks > 0 && `${summary.lapMarks} lap marks`,
  ]
    .filter(Boolean)
    .join(', ');
}

/** Recordings that no run of the sheet names. */
export function LooseRecordings({
  id,
  work,
  form,
}: {
  id: string;
  work: DayWork;
  form: SheetForm;
}) {
  const { complain, say } = useNotices();
  const named = new Set(form.runs.map((run) => run.file));
  const loose = work.view?.recordings.filter((recording) => !named.has(recording.file)) ?? [];
  if (loose.length === 0) return null;
  const remove = async (file: string) => {
    try {
      const bytes = await recordingBytes(id, file);
      work.accept(await removeRecording(id, file));
      say(`${file} is removed from the day.`, {
        label: 'Undo',
        run: () =>
          void sendRecording(id, bytes, () => undefined, false).then(
            work.accept,
            (error: unknown) => complain(problemsOf(error)),
          ),
      });
    } catch (error) {
      complain(problemsOf(error));
    }
  };
  return (
    <section class="block">
      <h2>Recordings in no run</h2>
      <ul class="loose">
        {loose.map((recording) => (
          <li key={recording.file}>
            <b>{recording.file}</b>
            <span class="unit">{recordingFacts(recording)}</span>
            <ProblemList problems={recording.problems} />
            <div class="actions">
              {recording.summary && (
                <button
                  type="button"
                  class="button"
                  aria-label={`Use ${recording.file} as a run`}
                  onClick={() => void work.edit([{ op: 'add-run', run: { file: recording.file } }])}
                >
                  Use as a run
                </button>
              )}
              <button
                type="button"
                class="button plain"
                aria-label={`Remove ${recording.file}`}
                onClick={() => void remove(recording.file)}
              >
                Remove
              </button>
            </div>
          </li>
        ))}
      </ul>
    </section>
  );
}
