// Lengths that are typed for the page itself: Python alone reads how the shop writes them.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect, useId } from "preact/hooks";
import { getJson } from "../server";
import { attempt, system } from "../state";
import { formatLength } from "../units";

/** mm of a typed length, or null after it was refused in words. */
export async function lengthOf(text: string): Promise<number | null> {
  const answer = await attempt(() =>
    getJson<{ mm: number }>(`/api/length?text=${encodeURIComponent(text)}`),
  );
  return answer === null ? null : answer.mm;
}

interface Props {
  label: string;
  mm: number | null;
  take: (mm: number | null) => void;
  /** Whether it may be left empty. */
  free?: boolean;
  button?: string;
}

export function AskedLength({ label, mm, take, free = false, button = "Set" }: Props): JSX.Element {
  const now = mm === null ? "" : formatLength(mm, system.value);
  const text = useSignal(now);
  const id = useId();
  useEffect(() => {
    text.value = now;
  }, [now]);
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    const typed = text.value.trim();
    if (!typed && free) {
      take(null);
      return;
    }
    const length = await lengthOf(typed);
    if (length === null) text.value = now;
    else take(length);
  };
  return (
    <form class="typed" onSubmit={(event) => void submit(event)}>
      <label for={id}>{label}</label>
      <input
        id={id}
        type="text"
        autocomplete="off"
        size={9}
        value={text.value}
        onInput={(event) => (text.value = event.currentTarget.value)}
      />
      <button type="submit" aria-label={`${button} ${label}`} disabled={text.value.trim() === now}>
        {button}
      </button>
    </form>
  );
}
