// A file that is brought to the page, with what was said of it when it was taken in.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { attempt, busy, reload, said } from "../state";

/** What the server says of a file that it took in. */
export interface Taken {
  done: string;
  words: string[];
}

interface Bringing {
  /** Reads the chosen file in; told holds what was said of the last one. */
  bring: (input: HTMLInputElement) => Promise<void>;
  told: string[];
}

/** `doing` is said while it lasts, `after` is called once the file was taken in. */
export function useBringing(
  doing: string,
  take: (file: File) => Promise<Taken>,
  after: () => void = () => undefined,
): Bringing {
  const told = useSignal<string[]>([]);
  const bring = async (input: HTMLInputElement): Promise<void> => {
    const file = input.files?.[0];
    if (!file) return;
    said.value = `${doing} ${file.name}`;
    const answer = await attempt(() => take(file));
    input.value = "";
    told.value = answer?.words ?? [];
    if (!answer) return;
    said.value = answer.done;
    after();
    await reload();
  };
  return { bring, told: told.value };
}

interface FileProps {
  accept: string;
  bring: (input: HTMLInputElement) => Promise<void>;
}

export function FileField({ accept, bring }: FileProps): JSX.Element {
  const id = useId();
  return (
    <p class="field">
      <label for={id}>the file</label>
      <input
        id={id}
        type="file"
        accept={accept}
        disabled={busy.value}
        onChange={(event) => void bring(event.currentTarget)}
      />
    </p>
  );
}

export function ToldOfIt({ told }: { told: string[] }): JSX.Element {
  return (
    <ul>
      {told.map((words) => (
        <li key={words}>{words}</li>
      ))}
    </ul>
  );
}
