// What all forms that ask something of the skin share: places, regions, sizes, and the edit itself.

import { signal, useSignal, type Signal } from "@preact/signals";
import type { ComponentChildren, JSX } from "preact";
import { useEffect } from "preact/hooks";
import { Field, Select } from "../parts/fields";
import { system } from "../state";
import type { Start, Treatable } from "../treated";
import type { SkinSheet } from "../types";
import { formatLength } from "../units";

/** Where the skin was clicked last, mm. */
export const placed = signal<[number, number, number] | null>(null);

interface FormProps {
  head: string;
  about: string;
  go: string;
  send: () => Promise<void>;
  children: ComponentChildren;
}

export function Form({ head, about, go, send, children }: FormProps): JSX.Element {
  const submit = (event: Event): void => {
    event.preventDefault();
    void send();
  };
  return (
    <details class="edits">
      <summary>{head}</summary>
      <p class="quiet">{about}</p>
      <form class="typed-list" aria-label={head} onSubmit={submit}>
        {children}
        <p>
          <button type="submit">{go}</button>
        </p>
      </form>
    </details>
  );
}

/** A value to type over; it begins anew when what it began with has changed. */
export function useStarted<T>(value: T): Signal<T> {
  const now = useSignal(value);
  useEffect(() => {
    now.value = value;
  }, [JSON.stringify(value)]);
  return now;
}

/** A length as it is shown to be typed over; nothing for 0. */
export const shown = (mm: number | undefined): string => (mm ? formatLength(mm, system.value) : "");

/** What was typed; where nothing was, the length itself, which the words may round. */
export const kept = (text: string, mm: number | undefined): string =>
  mm && text === shown(mm) ? `${mm} mm` : text;

export const shownPlaces = (places: number[][]): string =>
  places.map((place) => place.map((at) => `${Number(at.toFixed(3))} mm`).join("; ")).join(" / ");

/** The edit that adds something, or changes what the form began with. */
export const asked = (
  add: string,
  field: string,
  start: Start<unknown> | undefined,
  typed: Record<string, unknown>,
): { what: string } & Record<string, unknown> =>
  start ? { what: "change treatment", field, place: start.place, ...typed } : { what: add, ...typed };

/** One place or several, typed, or taken over from the picture. */
export function Places(props: { label: string; text: Signal<string>; several?: boolean }): JSX.Element {
  const { label, text, several = false } = props;
  const take = (): void => {
    if (!placed.value) return;
    const words = placed.value.map((at) => `${at.toFixed(1)} mm`).join("; ");
    text.value = several && text.value.trim() ? `${text.value} / ${words}` : words;
  };
  return (
    <>
      <Field
        label={`${label}, as x; y; z${several ? " / x; y; z" : ""}`}
        value={text.value}
        type={(value) => (text.value = value)}
      />
      <p>
        <button type="button" disabled={!placed.value} onClick={take}>
          {several ? "Add" : "Take"} the place clicked last to: {label}
        </button>
      </p>
    </>
  );
}

interface SizesProps<K extends string> {
  words: readonly (readonly [K, string])[];
  sizes: Signal<Record<K, string>>;
}

/** A field for each size, under its words. */
export function Sizes<K extends string>({ words, sizes }: SizesProps<K>): JSX.Element {
  return (
    <>
      {words.map(([key, label]) => (
        <Field
          key={key}
          label={label}
          value={sizes.value[key]}
          type={(text) => (sizes.value = { ...sizes.value, [key]: text })}
        />
      ))}
    </>
  );
}

export interface RegionsProps<S = never> {
  content: SkinSheet;
  start?: Start<S>;
}

export const useRegion = (content: SkinSheet, first = ""): [Treatable | undefined, JSX.Element] => {
  const rows = content.treatable ?? [];
  const chosen = useStarted(first);
  const now = rows.find((row) => row.region === chosen.value) ?? rows[0];
  const select = (
    <Select
      label="region"
      options={rows.map((row) => row.region)}
      value={now?.region ?? ""}
      choose={(region) => (chosen.value = region)}
    />
  );
  return [now, select];
};

export const among = (options: readonly string[], value: string): string =>
  options.includes(value) ? value : (options[0] ?? "");
