// The table of offsets as a file: taken away for the board, and read back with other figures.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { takeOffsets } from "../server";
import { attempt, system } from "../state";

export function OffsetFile({ typed }: { typed: boolean }): JSX.Element {
  const every = useSignal("200 mm");
  const said = useSignal("");
  const leftOut = useSignal<string[]>([]);
  const id = useId();
  const unit = system.value === "inch" ? "in" : "mm";
  const read = async (field: HTMLInputElement): Promise<void> => {
    const file = field.files?.[0];
    if (!file) return;
    said.value = `Reading ${file.name}…`;
    leftOut.value = [];
    const answer = await attempt(() => takeOffsets(file));
    field.value = "";
    if (!answer) {
      said.value = "";
      return;
    }
    const count = (n: number): string => `${n} ${n === 1 ? "figure" : "figures"}`;
    said.value = `${count(answer.held)} of ${file.name} held now; ${answer.same} were so already.`;
    leftOut.value = answer.left_out;
  };
  return (
    <section class="part">
      <h2>The table as a file</h2>
      <div class="tools">
        <label for={`${id}e`}>stations every</label>
        <input
          id={`${id}e`}
          type="text"
          autocomplete="off"
          size={8}
          value={every.value}
          onInput={(event) => (every.value = event.currentTarget.value)}
        />
        <a class="button" href={`/api/offsets.csv?unit=${unit}&every=${encodeURIComponent(every.value)}`} download>
          Table of offsets as CSV
        </a>
        {typed && (
          <span class="field">
            <label for={`${id}f`}>Read a table of offsets</label>
            <input
              id={`${id}f`}
              type="file"
              accept=".csv,.txt,text/csv"
              onChange={(event) => void read(event.currentTarget)}
            />
          </span>
        )}
      </div>
      <p role="status">{said.value}</p>
      {leftOut.value.length > 0 && (
        <ul class="findings" aria-label="Rows that were left out">
          {leftOut.value.map((words, k) => (
            <li key={k}>
              <span>{words}</span>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
