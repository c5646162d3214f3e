import { useEffect, useRef, useState } from 'preact/hooks';
import type { DaySummary, NoiseOptions, NoiseSoundView } from '../../application/contract.ts';
import { listDays, problemsOf, readDay } from '../api.ts';
import { useNotices } from '../parts/notices.tsx';
import { bringFile, broughtIn } from './bring-file.ts';

/** The ride on which the sound was recorded: a recording of a stored day, or a file of its own. */
export function RideChoice({
  item,
  set,
}: {
  item: NoiseSoundView;
  set: (change: Partial<NoiseOptions>) => Promise<boolean>;
}) {
  const { ride } = item.options;
  const [days, setDays] = useState<DaySummary[] | null>(null);
  const [day, setDay] = useState<string>(ride && 'day' in ride ? ride.day : '');
  const [files, setFiles] = useState<string[] | null>(null);
  useEffect(() => {
    void listDays().then(setDays, () => undefined);
  }, []);
  useEffect(() => {
    setFiles(null);
    if (day === '') return;
    let current = true;
    void readDay(day).then(
      (view) => current && setFiles(view.recordings.map(({ file }) => file)),
      () => undefined,
    );
    return () => {
      current = false;
    };
  }, [day]);
  return (
    <div class="block">
      <p class="field-help">
        Its speed tells which tones turn with the wheel and which stay; how it slows tells the brake
        torque.
      </p>
      {ride !== null && (
        <p class="ride-chosen">
          <span>
            Laid on <b>{ride.file}</b>
            {'day' in ride &&
              days &&
              ` of ${days.find(({ id }) => id === ride.day)?.title ?? 'a day that is not here now'}`}
          </span>
          <button
            type="button"
            class="button"
            onClick={() => void set({ ride: null, startS: null })}
          >
            Take it off
          </button>
        </p>
      )}
      <div class="fields">
        <div class="field">
          <label for="ride-day">From a test day</label>
          <select
            id="ride-day"
            value={day}
            disabled={days === null || days.length === 0}
            onChange={(event) => setDay(event.currentTarget.value)}
          >
            <option value="">
              {days?.length === 0 ? 'No day in the library' : 'Choose a day'}
            </option>
            {days?.map(({ id, title, date }) => (
              <option key={id} value={id}>
                {date} {title}
              </option>
            ))}
          </select>
        </div>
        {day !== '' && (
          <div class="field">
            <label for="ride-file">Its recording</label>
            <select
              id="ride-file"
              value={ride && 'day' in ride && ride.day === day ? ride.file : ''}
              disabled={files === null || files.length === 0}
              onChange={(event) => {
                const file = event.currentTarget.value;
                if (file) void set({ ride: { day, file } });
              }}
            >
              <option value="">
                {files === null ? 'Reading …' : files.length === 0 ? 'It has none' : 'Choose one'}
              </option>
              {files?.map((file) => (
                <option key={file} value={file}>
                  {file}
                </option>
              ))}
            </select>
          </div>
        )}
        <OwnFile set={set} />
      </div>
    </div>
  );
}

function OwnFile({ set }: { set: (change: Partial<NoiseOptions>) => Promise<boolean> }) {
  const { complain } = useNotices();
  const [share, setShare] = useState<number | null>(null);
  const stop = useRef<AbortController | null>(null);
  useEffect(() => () => stop.current?.abort(), []);
  const take = async (file: File) => {
    const own = new AbortController();
    stop.current = own;
    setShare(0);
    try {
      const { upload } = await bringFile(file, setShare, own.signal);
      await set({ ride: { upload, file: file.name } });
      // Also when it was refused: a file that is no ride must not be gone on with.
      broughtIn(file);
    } catch (error) {
      if (!own.signal.aborted) complain(problemsOf(error));
    }
    setShare(null);
  };
  return (
    <div class="field">
      <span class="field-name" id="ride-own-name">
        Or a file of its own
      </span>
      {share === null ? (
        <label class="button file-button">
          Choose a ride file
          <input
            type="file"
            class="file-input"
            accept=".fit,.tcx,.gpx,.csv"
            onChange={(event) => {
              const file = event.currentTarget.files?.[0];
              event.currentTarget.value = '';
              if (file) void take(file);
            }}
          />
        </label>
      ) : (
        <progress max={1} value={share} aria-labelledby="ride-own-name" />
      )}
      <span class="field-help">FIT, TCX, GPX or CSV, with its speed.</span>
    </div>
  );
}
