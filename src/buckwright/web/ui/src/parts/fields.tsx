// Fields of a form that sends several things at once.

import type { JSX } from "preact";
import { useId } from "preact/hooks";

interface FieldProps {
  label: string;
  value: string;
  type: (value: string) => void;
}

export function Field({ label, value, type }: FieldProps): JSX.Element {
  const id = useId();
  return (
    <p class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        type="text"
        autocomplete="off"
        value={value}
        onInput={(event) => type(event.currentTarget.value)}
      />
    </p>
  );
}

interface SelectProps {
  label: string;
  options: string[];
  value: string;
  choose: (value: string) => void;
}

export function Select({ label, options, value, choose }: SelectProps): JSX.Element {
  const id = useId();
  return (
    <p class="field">
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={(event) => choose(event.currentTarget.value)}>
        {options.map((option) => (
          <option key={option}>{option}</option>
        ))}
      </select>
    </p>
  );
}

/** A tick that is sent or shown at once. */
export function Switch(props: { on: boolean; words: string; flip: (on: boolean) => void }): JSX.Element {
  return (
    <label class="switch">
      <input
        type="checkbox"
        checked={props.on}
        onChange={(event) => props.flip(event.currentTarget.checked)}
      />
      <span>{props.words}</span>
    </label>
  );
}
