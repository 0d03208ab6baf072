// A length, or another short text, that is typed and sent as it was typed.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect, useId } from "preact/hooks";
import { change, system } from "../state";
import { formatLength } from "../units";

interface TypedProps {
  label: string;
  now: string;
  send: (text: string) => object;
}

export function TypedText({ label, now, send }: TypedProps): JSX.Element {
  const text = useSignal(now);
  const id = useId();
  useEffect(() => {
    text.value = now;
  }, [now]);
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    if (text.value !== now && !(await change(send(text.value)))) text.value = now;
  };
  return (
    <form class="typed" onSubmit={(event) => void submit(event)}>
      <label for={id}>{label}</label>
      <input
        id={id}
        type="text"
        autocomplete="off"
        value={text.value}
        onInput={(event) => (text.value = event.currentTarget.value)}
      />
      <button type="submit" disabled={text.value === now}>
        Change
      </button>
    </form>
  );
}

interface LengthProps {
  label: string;
  mm: number;
  send: (length: string) => object;
}

export function TypedLength({ label, mm, send }: LengthProps): JSX.Element {
  return <TypedText label={label} now={formatLength(mm, system.value)} send={send} />;
}
