import type {
  BenchChange,
  BenchKind,
  BenchSummary,
  BenchView,
  DayEdit,
  DaySummary,
  DayView,
  Hearing,
  NewSound,
  Problem,
  RecordingTrace,
  Refusal,
  SetupBench,
  SoundChange,
  SoundPicture,
  SoundSummary,
  SoundUpload,
  SoundView,
  WheelShapes,
} from '../application/contract.ts';

/** What the server would not do, or could not be asked, as the problems to show. */
export class RefusedError extends Error {
  readonly problems: Problem[];
  readonly status: number;
  constructor(problems: Problem[], status: number) {
    super(problems[0]?.message ?? 'Refused.');
    this.name = 'RefusedError';
    this.problems = problems;
    this.status = status;
  }
}

/** Problems of anything thrown, so that every failure is shown in the same way. */
export function problemsOf(error: unknown): Problem[] {
  if (error instanceof RefusedError) return error.problems;
  return [
    { code: 'internal', message: `The page failed: ${String(error)}.`, remedy: 'Reload it.' },
  ];
}

const unreachable: Problem = {
  code: 'internal',
  message: 'Lapbench does not answer on this machine.',
  remedy: 'Start it again with "npm start"; what was saved is safe.',
};

function refusal(status: number, text: string): RefusedError {
  try {
    const body = JSON.parse(text) as Partial<Refusal>;
    if (Array.isArray(body.problems) && body.problems.length > 0) {
      return new RefusedError(body.problems, status);
    }
  } catch {
    // Not ours: said below in general words.
  }
  return new RefusedError(
    [{ code: 'internal', message: `The server answered ${status}.`, remedy: 'Try once more.' }],
    status,
  );
}

async function ask<T>(
  method: string,
  path: string,
  body?: unknown,
  type?: string,
  guard: Record<string, string> = {},
): Promise<T> {
  let response: Response;
  try {
    response = await fetch(path, {
      method,
      headers: body === undefined ? {} : { 'content-type': type ?? 'application/json', ...guard },
      body: body === undefined ? undefined : type ? (body as BodyInit) : JSON.stringify(body),
    });
  } catch {
    throw new RefusedError([unreachable], 0);
  }
  const text = await response.text();
  if (!response.ok) throw refusal(response.status, text);
  return JSON.parse(text) as T;
}

const ifMatch = (changedAt: string | undefined): Record<string, string> =>
  changedAt === undefined ? {} : { 'if-match': `"${changedAt}"` };

const dayPath = (id: string, rest = ''): string => `/api/days/${encodeURIComponent(id)}${rest}`;

export const listDays = async (removed = false): Promise<DaySummary[]> =>
  (await ask<{ days: DaySummary[] }>('GET', `/api/days${removed ? '?removed=true' : ''}`)).days;
/** The days on which a setup was ridden, by its id or name. */
export const daysWithSetup = async (setup: string): Promise<DaySummary[]> =>
  (await ask<{ days: DaySummary[] }>('GET', `/api/days?setup=${encodeURIComponent(setup)}`)).days;
export const createDay = (body: { title?: string; date?: string }): Promise<DayView> =>
  ask('POST', '/api/days', body);
export const removeDay = (id: string): Promise<unknown> => ask('DELETE', dayPath(id));
export const restoreDay = (id: string): Promise<DayView> => ask('POST', dayPath(id, '/restore'));
export const demoDay = (): Promise<{ id: string }> => ask('GET', '/api/demo');
export const readDay = (id: string): Promise<DayView> => ask('GET', dayPath(id));
export const keepDay = (id: string): Promise<DayView> => ask('POST', dayPath(id, '/keep'));
export const editDay = (id: string, edits: DayEdit[]): Promise<DayView> =>
  ask('PATCH', dayPath(id, '/edit'), { edits });
export const putSheet = (id: string, text: string): Promise<DayView> =>
  ask('PUT', dayPath(id, '/sheet'), text, 'text/yaml');
export const removeRecording = (id: string, file: string): Promise<DayView> =>
  ask('DELETE', dayPath(id, `/recordings/${encodeURIComponent(file)}`));
/** The bytes of a recording as they are stored. */
export async function recordingBytes(id: string, file: string): Promise<File> {
  const answer = await fetch(dayPath(id, `/recordings/${encodeURIComponent(file)}`));
  if (!answer.ok) throw refusal(answer.status, await answer.text());
  return new File([await answer.blob()], file);
}
export const readTrace = (id: string, file: string): Promise<RecordingTrace> =>
  ask('GET', dayPath(id, `/recordings/${encodeURIComponent(file)}/trace`));
export const readSchema = (): Promise<unknown> => ask('GET', '/api/schema/day');
export const eventsPath = (id: string): string => dayPath(id, '/events');

const benchPath = (id: string, rest = ''): string => `/api/bench/${encodeURIComponent(id)}${rest}`;

export const listBench = async (removed = false): Promise<BenchSummary[]> =>
  (await ask<{ items: BenchSummary[] }>('GET', `/api/bench${removed ? '?removed=true' : ''}`))
    .items;
/** What the bench says of each setup of a day. */
export const readSetupBench = async (dayId: string): Promise<SetupBench[]> =>
  (await ask<{ setups: SetupBench[] }>('GET', dayPath(dayId, '/bench'))).setups;
export const createBench = (body: { kind: BenchKind } & BenchChange): Promise<BenchView> =>
  ask('POST', '/api/bench', body);
export const readBench = (id: string): Promise<BenchView> => ask('GET', benchPath(id));
/** With `ifChangedAt` refused (412, `bench-item-changed`) when another window got there first. */
export const changeBench = (
  id: string,
  change: BenchChange,
  ifChangedAt?: string,
): Promise<BenchView> => ask('PATCH', benchPath(id), change, undefined, ifMatch(ifChangedAt));
export const removeBench = (id: string): Promise<unknown> => ask('DELETE', benchPath(id));
export const restoreBench = (id: string): Promise<BenchView> =>
  ask('POST', benchPath(id, '/restore'));
export const readShapes = (id: string): Promise<WheelShapes> =>
  ask('GET', benchPath(id, '/shapes'));

const soundPath = (id: string, rest = ''): string => `/api/sounds/${encodeURIComponent(id)}${rest}`;

export const listSounds = async (removed = false): Promise<SoundSummary[]> =>
  (await ask<{ sounds: SoundSummary[] }>('GET', `/api/sounds${removed ? '?removed=true' : ''}`))
    .sounds;
/** From a file that `sendSound` has brought in; its analysis starts by itself. */
export const createSound = (sound: NewSound): Promise<SoundView> =>
  ask('POST', '/api/sounds', sound);
export const readSound = (id: string): Promise<SoundView> => ask('GET', soundPath(id));
/** With `ifChangedAt` refused (412, `sound-changed`) when another window got there first. */
export const changeSound = (
  id: string,
  change: SoundChange,
  ifChangedAt?: string,
): Promise<SoundView> => ask('PATCH', soundPath(id), change, undefined, ifMatch(ifChangedAt));
export const removeSound = (id: string): Promise<unknown> => ask('DELETE', soundPath(id));
export const restoreSound = (id: string): Promise<SoundView> =>
  ask('POST', soundPath(id, '/restore'));
/** Begins the analysis again after it was stopped. */
export const analyseSound = (id: string): Promise<SoundView> =>
  ask('POST', soundPath(id, '/analyse'));
export const stopAnalysis = (id: string): Promise<SoundView> => ask('POST', soundPath(id, '/stop'));
/** The whole sound, small whatever its length. */
export const readOverview = (id: string): Promise<SoundPicture> =>
  ask('GET', soundPath(id, '/overview'));
/** A few seconds of it (60 at most) more finely. */
export const readDetail = (id: string, fromS: number, toS: number): Promise<SoundPicture> =>
  ask('GET', soundPath(id, `/detail?from=${fromS}&to=${toS}`));
/** Address of a cutting to play, 60 s at most: WAV, 16 bit, one channel. */
export const piecePath = (id: string, fromS: number, toS: number): string =>
  soundPath(id, `/piece.wav?from=${fromS}&to=${toS}`);
/** Events by name: `SoundEvents`. */
export const soundEventsPath = (id: string): string => soundPath(id, '/events');
/** What can be heard in a few plucks (60 s at most); nothing is stored. */
export const hearPlucks = (sound: Blob): Promise<Hearing> =>
  ask('POST', '/api/sounds/hear', sound, 'application/octet-stream');

/** Small enough that a piece sent twice costs little, large enough that an hour takes a hundred. */
const uploadPieceBytes = 4 * 1024 * 1024;

/**
 * Brings a sound file in, piece by piece; `onProgress` hears the share that has arrived, 0 to 1. A piece that does
 * not get through is sent again a few times. What was left unfinished is forgotten by the server after a day; until
 * then `from`, an upload that `onBegun` told of, goes on where it was left.
 */
export async function sendSound(
  file: Blob,
  name: string,
  onProgress: (share: number) => void = () => {},
  signal?: AbortSignal,
  { from, onBegun }: { from?: string; onBegun?: (upload: SoundUpload) => void } = {},
): Promise<SoundUpload> {
  const path = '/api/sounds/uploads';
  let upload =
    from === undefined
      ? await ask<SoundUpload>('POST', path, { file: name, bytes: file.size })
      : await ask<SoundUpload>('GET', `${path}/${encodeURIComponent(from)}`);
  const own = `${path}/${encodeURIComponent(upload.upload)}`;
  onBegun?.(upload);
  let failures = 0;
  while (upload.received < file.size) {
    if (signal?.aborted) {
      await ask('DELETE', own).catch(() => undefined);
      throw new DOMException('The upload was stopped.', 'AbortError');
    }
    const piece = file.slice(upload.received, upload.received + uploadPieceBytes);
    try {
      const at = `${own}?offset=${upload.received}`;
      upload = await ask<SoundUpload>('PUT', at, piece, 'application/octet-stream');
      failures = 0;
    } catch (error) {
      const lost = error instanceof RefusedError && (error.status === 0 || error.status >= 500);
      if (!lost || ++failures > 4) throw error;
      await new Promise((resolve) => setTimeout(resolve, 500 * 2 ** failures));
      upload = await ask<SoundUpload>('GET', own).catch(() => upload);
    }
    onProgress(upload.received / file.size);
  }
  return upload;
}

/** Sends one recording; `onProgress` hears the share sent, 0 to 1. XHR because fetch does not tell. */
export function sendRecording(
  id: string,
  file: File,
  onProgress: (share: number) => void,
  addRun = true,
): Promise<DayView> {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open(
      'POST',
      dayPath(id, `/recordings?file=${encodeURIComponent(file.name)}${addRun ? '' : '&run=false'}`),
    );
    request.setRequestHeader('content-type', 'application/octet-stream');
    request.upload.onprogress = (event) => {
      if (event.lengthComputable) onProgress(event.loaded / event.total);
    };
    request.onload = () => {
      if (request.status >= 200 && request.status < 300) {
        resolve(JSON.parse(request.responseText) as DayView);
      } else reject(refusal(request.status, request.responseText));
    };
    request.onerror = () => reject(new RefusedError([unreachable], 0));
    request.send(file);
  });
}
