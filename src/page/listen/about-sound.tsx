import type { SoundView } from '../../application/contract.ts';
import { thin } from '../../figures/index.ts';
import { SavedField } from '../parts/saved-field.tsx';
import type { SoundWork } from './use-sound.ts';
import { sizeWords } from './words.ts';

/** Title, date, setup, and what the file is. */
export function AboutSound({ item, work }: { item: SoundView; work: SoundWork }) {
  const { id, title, date, setup, file, bytes, format, levels } = item;
  const { change } = work;
  return (
    <section class="block" aria-label="About">
      <h2>About</h2>
      <div class="fields">
        <SavedField
          name={`${id}:title`}
          label="Title"
          value={title}
          check={(text) => (text === '' ? 'A title is needed.' : null)}
          save={(text) => change({ title: text })}
        />
        <SavedField
          name={`${id}:date`}
          label="Date"
          value={date}
          check={(text) => (/^\d{4}-\d\d-\d\d$/.test(text) ? null : 'Write it as 2026-05-17.')}
          save={(text) => change({ date: text })}
        />
        <SavedField
          name={`${id}:setup`}
          label="Setup it belongs to"
          value={setup}
          help="Its name as on the test day."
          save={(text) => change({ setup: text })}
        />
      </div>
      <dl class="learnt">
        <Fact name="File" value={`${file}, ${sizeWords(bytes)}`} />
        {format && (
          <Fact
            name="Sound"
            value={`${format.encoding}, ${format.sampleRateHz / 1000}${thin}kHz, ${format.channels === 1 ? 'one channel' : `${format.channels} channels`}`}
          />
        )}
        {format?.startNote && <Fact name="Its clock" value={format.startNote} />}
        {levels && (
          <Fact
            name="Level"
            value={`peak ${level(levels.peakDbfs)}, mean ${level(levels.rmsDbfs)}`}
          />
        )}
        {levels && levels.clippedShare > 0 && (
          <Fact
            name="Overdriven"
            value={`${levels.clippedShare < 1e-4 ? 'under 0.01' : (100 * levels.clippedShare).toPrecision(2)}${thin}% of the samples`}
          />
        )}
      </dl>
    </section>
  );
}

const level = (db: number): string =>
  Number.isFinite(db) ? `${db.toFixed(0).replace('-', '−')}${thin}dB` : 'silence';

function Fact({ name, value }: { name: string; value: string }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{value}</dd>
    </div>
  );
}
