/** One of a few, side by side as large buttons. */
export function Segments<Value extends string>({
  name,
  label,
  value,
  options,
  choose,
}: {
  /** Unique on the page. */
  name: string;
  label: string;
  value: Value;
  options: readonly { value: Value; text: string; disabled?: boolean }[];
  choose: (value: Value) => void;
}) {
  return (
    <fieldset class="entry-choice">
      <legend class="unseen">{label}</legend>
      <div class="two">
        {options.map((one) => (
          <label key={one.value} class={one.disabled ? 'not-offered' : ''}>
            <input
              type="radio"
              name={name}
              checked={value === one.value}
              disabled={one.disabled}
              onChange={() => choose(one.value)}
            />
            <span>{one.text}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}
