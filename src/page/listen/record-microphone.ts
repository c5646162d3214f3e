/** The microphone, as it is: no echo cancelling, no noise suppression, no gain control; nothing leaves this machine. */
import type { Problem } from '../../application/contract.ts';
// As a file of its own: the page's content policy takes no script from a text.
import workletPath from './record-worklet.ts?worker&url';

export interface Microphone {
  sampleRateHz: number;
  /** What the browser does to the sound although it was asked not to. */
  remarks: Problem[];
  close: () => void;
}

/** Why there is no sound, with what helps. */
export class MicrophoneError extends Error {
  readonly problem: Problem;
  constructor(problem: Problem) {
    super(problem.message);
    this.name = 'MicrophoneError';
    this.problem = problem;
  }
}

const otherwise =
  'Or record with the phone’s own recorder and choose that file here: it is read just as well.';

const processing = {
  echoCancellation: 'echo cancelling',
  noiseSuppression: 'noise suppression',
  autoGainControl: 'gain control',
} as const;

/**
 * Opens the microphone and calls `onBlock` with blocks of samples of some 20 ms each, full scale 1, until `close`;
 * `onEnd` when the microphone is taken away. Throws `MicrophoneError`.
 */
export async function openMicrophone(
  onBlock: (samples: Float32Array) => void,
  onEnd: (problem: Problem) => void,
): Promise<Microphone> {
  const stream = await askForIt();
  const [track] = stream.getAudioTracks();
  const context = await contextFor(stream);
  const stop = () => {
    for (const one of stream.getTracks()) one.stop();
    void context.close().catch(() => undefined);
  };
  try {
    await context.audioWorklet.addModule(workletPath);
    const source = context.createMediaStreamSource(stream);
    const samples = new AudioWorkletNode(context, 'samples', { numberOfOutputs: 1 });
    samples.port.onmessage = (event: MessageEvent<Float32Array>) => onBlock(event.data);
    source.connect(samples);
    // Its output is silence: it is there because some browsers let nothing run that leads nowhere.
    samples.connect(context.destination);
    await context.resume();
  } catch (error) {
    stop();
    throw new MicrophoneError(unknownProblem(error));
  }
  track.onended = () => onEnd(lost);
  const screen = await keepScreenOn();
  const settings = track.getSettings();
  const active = (Object.keys(processing) as (keyof typeof processing)[]).filter(
    (name) => (settings as Record<string, unknown>)[name] === true,
  );
  return {
    sampleRateHz: context.sampleRate,
    remarks: active.length === 0 ? [] : [altered(active.map((name) => processing[name]))],
    close: () => {
      track.onended = null;
      stop();
      void screen?.release().catch(() => undefined);
    },
  };
}

async function askForIt(): Promise<MediaStream> {
  // Older type lists say that this is always there; without https it is not.
  const devices = navigator.mediaDevices as MediaDevices | undefined;
  if (!devices?.getUserMedia) {
    throw new MicrophoneError({
      code: 'internal',
      message: window.isSecureContext
        ? 'This browser cannot record.'
        : 'A browser gives its microphone only to pages from the same machine (localhost) or with https, and this page came over the network without it.',
      remedy: `Open the page on the machine where Lapbench runs. ${otherwise}`,
    });
  }
  try {
    return await devices.getUserMedia({
      audio: {
        channelCount: { ideal: 1 },
        sampleRate: { ideal: 48_000 },
        echoCancellation: false,
        noiseSuppression: false,
        autoGainControl: false,
      },
    });
  } catch (error) {
    throw new MicrophoneError(refusal(error));
  }
}

/** 48 kHz where the browser converts; else the rate that the microphone has. */
async function contextFor(stream: MediaStream): Promise<AudioContext> {
  const wanted = new AudioContext({ sampleRate: 48_000, latencyHint: 'interactive' });
  try {
    wanted.createMediaStreamSource(stream).disconnect();
    return wanted;
  } catch {
    await wanted.close();
    return new AudioContext({ latencyHint: 'interactive' });
  }
}

/** A phone that goes to sleep stops recording. Not every browser can be asked. */
async function keepScreenOn(): Promise<WakeLockSentinel | null> {
  try {
    return await navigator.wakeLock.request('screen');
  } catch {
    return null;
  }
}

const lost: Problem = {
  code: 'internal',
  message: 'The microphone was taken away; what was recorded until then is kept.',
  remedy: 'Plug it in again, or close the other program that took it, and go on.',
};

const altered = (what: readonly string[]): Problem => ({
  code: 'internal',
  message: `The browser applies ${what.join(' and ')} to the sound although it was asked not to: decay and levels are not the microphone’s.`,
  remedy: `Turn it off in the settings of system or headset, or use another microphone. ${otherwise}`,
});

function refusal(error: unknown): Problem {
  const name = error instanceof DOMException ? error.name : '';
  if (name === 'NotAllowedError' || name === 'SecurityError') {
    return {
      code: 'internal',
      message: 'The browser was not allowed to use the microphone.',
      remedy: `Allow the microphone for this page (beside its address) and start again. ${otherwise}`,
    };
  }
  if (name === 'NotFoundError' || name === 'OverconstrainedError') {
    return {
      code: 'internal',
      message: 'No microphone was found.',
      remedy: `Plug one in and start again. ${otherwise}`,
    };
  }
  if (name === 'NotReadableError' || name === 'AbortError') {
    return {
      code: 'internal',
      message: 'The microphone does not answer; another program may hold it.',
      remedy: `Close that program and start again. ${otherwise}`,
    };
  }
  return unknownProblem(error);
}

const unknownProblem = (error: unknown): Problem => ({
  code: 'internal',
  message: `The microphone could not be opened: ${error instanceof Error ? error.message : String(error)}`,
  remedy: `Reload the page and start again. ${otherwise}`,
});

/** The problem in anything thrown while recording. */
export const microphoneProblem = (error: unknown): Problem =>
  error instanceof MicrophoneError ? error.problem : unknownProblem(error);
