// The table of offsets: a figure that is typed over holds its line there.

import { signal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { Table } from "../parts/table";
import { change, system } from "../state";
import type { Offsets } from "../types";
import { formatLength } from "../units";

type Which = "half-breadth" | "height";

/** The one cell that is being typed over, and what stands in it. */
const typing = signal<string | null>(null);
const text = signal("");

export function OffsetTables({ offsets, typed }: { offsets: Offsets; typed: boolean }): JSX.Element {
  const table = (which: Which, place: 0 | 1): JSX.Element => (
    <div class="part">
      <Table
        caption={`Table of offsets: ${which === "height" ? "heights" : "half-breadths"} by station`}
        rows={offsets.rows}
        name={(row) => row.name}
        head="Line"
        columns={offsets.stations.map((station, k) => ({
          head: formatLength(station, system.value),
          cell: (row: Offsets["rows"][number]) => {
            const at = row.at[k];
            if (!at) return "";
            if (!typed) return formatLength(at[place], system.value);
            return <Cell line={row.name} station={station} which={which} mm={at[place]} />;
          },
        }))}
      />
    </div>
  );
  return (
    <>
      {typed && (
        <p>
          Type over a figure and press Enter: the line is held there, and the lines that it crosses
          follow. Undo takes it back.
        </p>
      )}
      {table("half-breadth", 0)}
      {table("height", 1)}
    </>
  );
}

interface CellProps {
  line: string;
  station: number;
  which: Which;
  mm: number;
}

function Cell({ line, station, which, mm }: CellProps): JSX.Element {
  const field = useRef<HTMLInputElement>(null);
  const key = `${which} ${station} ${line}`;
  const now = formatLength(mm, system.value);
  const open = typing.value === key;
  const name = `${which} of ${line} at station ${formatLength(station, system.value)}`;
  useEffect(() => {
    if (open) field.current?.select();
  }, [open]);
  if (!open) {
    return (
      <button
        type="button"
        class="offset"
        aria-label={`${name}: ${now}. Type another`}
        onClick={() => {
          typing.value = key;
          text.value = now;
        }}
      >
        {now}
      </button>
    );
  }
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    const length = text.value;
    if (length === now || (await change({ what: "offset", line, station, which, length }))) typing.value = null;
  };
  return (
    <form class="offset" onSubmit={(event) => void submit(event)}>
      <input
        ref={field}
        type="text"
        autocomplete="off"
        aria-label={name}
        value={text.value}
        onInput={(event) => (text.value = event.currentTarget.value)}
        onKeyDown={(event) => {
          if (event.key === "Escape") typing.value = null;
        }}
      />
    </form>
  );
}
