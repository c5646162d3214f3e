/** One of two, as large buttons: `load` or `unload`, left or right. */
export interface EntryChoice {
  name: string;
  label: string;
  suggested: string;
  options: readonly { value: string; text: string }[];
}

const keys = ['7', '8', '9', '4', '5', '6', '1', '2', '3', '.', '0'] as const;

/** The two as one wide switch. */
export function Choice({
  choice,
  value,
  choose,
}: {
  choice: EntryChoice;
  value: string;
  choose: (field: string, value: string) => void;
}) {
  return (
    <fieldset class="entry-choice">
      <legend class="unseen">{choice.label}</legend>
      <div class="two">
        {choice.options.map((one) => (
          <label key={one.value}>
            <input
              type="radio"
              name={choice.name}
              value={one.value}
              checked={value === one.value}
              onChange={() => choose(choice.name, one.value)}
            />
            <span>{one.text}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

/** Keys for numbers, and the one that saves. */
export function Keys({
  label,
  signed,
  press,
  saveText,
}: {
  label: string;
  signed: boolean;
  press: (key: string) => void;
  saveText: string;
}) {
  return (
    <div class="keys" role="group" aria-label={label}>
      {keys.map((key) => (
        <button key={key} type="button" class="key" onClick={() => press(key)}>
          {key}
        </button>
      ))}
      <button type="button" class="key" aria-label="Delete" onClick={() => press('delete')}>
        <span aria-hidden="true">⌫</span>
      </button>
      {signed && (
        <button type="button" class="key" aria-label="Minus" onClick={() => press('-')}>
          <span aria-hidden="true">−</span>
        </button>
      )}
      <button class={`key key-save ${signed ? '' : 'key-wide'}`}>{saveText}</button>
    </div>
  );
}
