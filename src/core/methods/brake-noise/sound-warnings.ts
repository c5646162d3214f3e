/** What is wrong with a recording as a recording. */
import type { SoundLevels } from '../../evidence/index.ts';
import type { Problem } from '../../units/index.ts';
import type { Tone } from './result.ts';

const shortS = 3;
const quietDbfs = -70;

export function soundWarnings(
  sound: SoundLevels & { file: string },
  tones: readonly Tone[],
): Problem[] {
  const { file } = sound;
  const warnings: Problem[] = [];
  if (sound.silentShare > 0.99 || sound.rmsDbfs < quietDbfs) {
    warnings.push({
      code: 'sound-silent',
      file,
      message:
        sound.silentShare > 0.99
          ? 'The recording is silent.'
          : `The recording is very quiet (${sound.rmsDbfs.toFixed(0)} dB below full scale).`,
      remedy: 'Check the microphone, and that the right channel was recorded.',
    });
  }
  if (sound.clippedShare > 0) {
    const percent = 100 * sound.clippedShare;
    const said = percent < 0.01 ? 'less than 0.01' : percent.toPrecision(2);
    warnings.push({
      code: 'sound-clipped',
      file,
      place: sound.clippedAtS.length > 0 ? { timeS: sound.clippedAtS[0] } : undefined,
      message: `${said} % of the samples are clipped: the recorder ran out of range, which makes harmonics that were not there.`,
      remedy: 'Trust no harmonic of a loud tone here; record with less gain or further away.',
    });
  }
  if (sound.durationS < shortS) {
    warnings.push({
      code: 'sound-short',
      file,
      message: `The recording lasts ${sound.durationS.toFixed(1)} s only.`,
      remedy: 'Record the whole braking, with some seconds before and after it.',
    });
  }
  if (tones.length === 0) {
    warnings.push({
      code: 'tones-none',
      file,
      message: 'No steady tone stands out of the noise, so there is nothing to explain.',
      remedy: 'Record nearer to the wheel, out of the wind, while the brake howls.',
    });
  }
  return warnings;
}
