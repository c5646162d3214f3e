import type { DayEdit } from '../../application/contract.ts';
import type { SheetForm } from '../day/sheet-form.ts';
import type { DayWork } from '../day/use-day.ts';
import { SavedField } from '../parts/saved-field.tsx';
import { factsOf, useSheetSchema } from './sheet-schema.ts';
import { numberCheck, readNumber } from '../parts/typed-number.ts';

interface NumberField {
  path: string;
  label: string;
  unit?: string;
  needed?: boolean;
}

const groups: { title: string; help?: string; fields: NumberField[] }[] = [
  {
    title: 'Rider and bicycle',
    fields: [
      {
        path: 'system.massKg',
        label: 'Total mass as ridden',
        unit: 'kg',
        needed: true,
      },
      {
        path: 'system.massStandardUncertaintyKg',
        label: 'Its standard uncertainty',
        unit: 'kg',
      },
      {
        path: 'constants.drivetrainEfficiency',
        label: 'Drivetrain efficiency',
      },
      {
        path: 'constants.powerScaleStandardUncertainty',
        label: 'Standard uncertainty of the power meter’s scale',
      },
    ],
  },
  {
    title: 'Rolling resistance',
    fields: [
      { path: 'constants.crr', label: 'Crr of the day’s tyres on this road', needed: true },
      { path: 'constants.crrStandardUncertainty', label: 'Its standard uncertainty' },
    ],
  },
  {
    title: 'Air',
    help: 'For the whole day. Leave all three empty when the recordings carry the weather.',
    fields: [
      { path: 'weather.temperatureC', label: 'Temperature', unit: '°C' },
      { path: 'weather.pressureHPa', label: 'Pressure at the road, not at sea level', unit: 'hPa' },
      { path: 'weather.relativeHumidityPercent', label: 'Relative humidity', unit: '%' },
    ],
  },
  {
    title: 'Reference for watts',
    fields: [
      { path: 'reference.speedKmh', label: 'Speed', unit: 'km/h' },
      { path: 'reference.airDensityKgM3', label: 'Air density', unit: 'kg/m³' },
    ],
  },
];

/** A draft says by a comment that nobody has weighed anything yet. */
const massAssumed = /^system:[^\n]*# ASSUMED/m;

export function Constants({ id, work, form }: { id: string; work: DayWork; form: SheetForm }) {
  const schema = useSheetSchema();
  const assumed = massAssumed.test(work.view?.sheet ?? '');
  const save = (field: NumberField, text: string): Promise<boolean> => {
    const { path } = field;
    if (assumed && path === 'system.massKg') {
      // A weighed mass takes the wide uncertainty of the assumed one away with it.
      return work.edit([{ op: 'set', path: 'system', value: { massKg: readNumber(text) } }]);
    }
    if (text !== '') return work.edit([{ op: 'set', path, value: readNumber(text) }]);
    // The weather is all or nothing: emptying its last field takes the block out.
    const [group, key] = path.split('.');
    const block = form.at(group);
    const alone =
      typeof block === 'object' &&
      block !== null &&
      Object.keys(block).every((name) => name === key);
    const edit: DayEdit = { op: 'unset', path: alone ? group : path };
    return work.edit([edit]);
  };
  const kind = form.at('course.kind');
  return (
    <section class="block">
      <h2>Constants of the day</h2>
      <p class="legend">
        An empty field takes the usual value shown in it. Every constant enters with its
        uncertainty.
      </p>
      <div class="fields">
        <SavedField
          name={`${id}:title`}
          label="Title"
          value={form.title}
          check={(text) => (text === '' ? 'A day needs a title.' : null)}
          save={(text) => work.edit([{ op: 'set', path: 'title', value: text }])}
        />
        <div class="field">
          <label for="course-kind">Course</label>
          <select
            id="course-kind"
            value={typeof kind === 'string' ? kind : ''}
            onChange={(event) =>
              void work.edit([{ op: 'set', path: 'course.kind', value: event.currentTarget.value }])
            }
          >
            <option value="loop">Loop</option>
            <option value="out-and-back">Out and back</option>
          </select>
        </div>
      </div>
      {groups.map((group) => (
        <fieldset key={group.title}>
          <legend>{group.title}</legend>
          {group.help && <p class="legend">{group.help}</p>}
          <div class="fields">
            {group.fields.map((field) => {
              const value = form.at(field.path);
              const { description, usual } = factsOf(schema, field.path);
              const warning =
                assumed && field.path === 'system.massKg'
                  ? 'Assumed until you weigh it and write it here. '
                  : '';
              return (
                <SavedField
                  key={field.path}
                  name={`${id}:${field.path}`}
                  label={field.label}
                  unit={field.unit}
                  help={`${warning}${description !== null && description.length > 40 ? description : ''}`}
                  placeholder={usual ?? undefined}
                  numeric
                  value={value === undefined || value === null ? '' : String(value)}
                  check={numberCheck(!field.needed)}
                  save={(text) => save(field, text)}
                />
              );
            })}
          </div>
        </fieldset>
      ))}
    </section>
  );
}
