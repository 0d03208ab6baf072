// Dimensions on the reference, what departures add to them, and what they are now.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { change, system } from "../state";
import type { DimensionRow, LinesSheet } from "../types";
import { formatLength } from "../units";
import { Field, Select } from "./fields";
import { Table } from "./table";
import { Length } from "./words";

const KINDS = {
  height: "height at a station",
  "half-breadth": "half-breadth at a station",
  length: "length along it",
  "extent x": "how far it reaches lengthways",
  "extent y": "how far it reaches across",
  "extent z": "how far it reaches up and down",
} as const;
type Kind = keyof typeof KINDS;

function signed(mm: number): string {
  if (Math.abs(mm) < 0.005) return "0";
  return `${mm < 0 ? "−" : "+"}${formatLength(Math.abs(mm), system.value)}`;
}

export function Dimensions({ content }: { content: LinesSheet }): JSX.Element | null {
  const { dimensions = [], watched = [], departures } = content;
  if (content.unmeasured) return <p class="quiet">{content.unmeasured}</p>;
  if (dimensions.length === 0) return null;
  const active = departures.filter((one) => one.on);
  const sum = (row: DimensionRow): number => row.steps.reduce((total, step) => total + step, 0);
  const each =
    active.length > 1
      ? active.map((one, k) => ({
          head: one.name,
          cell: (row: DimensionRow) => signed(row.steps[k] ?? 0),
        }))
      : [];
  return (
    <>
      <Table
        caption="Dimensions: reference, departure, now"
        still
        rows={dimensions}
        name={(row) => row.name}
        label={(row) => (row.code ? `${row.name} (${row.code})` : row.name)}
        head="Dimension"
        columns={[
          { head: "reference", cell: (row) => <Length mm={row.reference} /> },
          ...each,
          { head: "departure", cell: (row) => signed(sum(row)) },
          { head: "now", cell: (row) => <Length mm={row.now} /> },
        ]}
      />
      <Watch names={content.lines.map((line) => line.name)} />
      {watched.map((name) => (
        <p key={name}>
          <button type="button" onClick={() => void change({ what: "drop dimension", name })}>
            Stop watching {name}
          </button>
        </p>
      ))}
    </>
  );
}

function Watch({ names }: { names: string[] }): JSX.Element {
  const kind = useSignal<Kind>("height");
  const line = useSignal("");
  const typed = useSignal<{ name: string; station: string }>({ name: "", station: "" });
  const chosen = line.value || (names[0] ?? "");
  const send = async (event: Event): Promise<void> => {
    event.preventDefault();
    const said = { what: "watch dimension", of: kind.value, line: chosen, ...typed.value };
    if (await change(said)) typed.value = { name: "", station: "" };
  };
  const stationed = kind.value === "height" || kind.value === "half-breadth";
  return (
    <details class="edits">
      <summary>Watch another dimension</summary>
      <form class="typed-list" onSubmit={(event) => void send(event)}>
        <Field
          label="what it is called"
          value={typed.value.name}
          type={(name) => (typed.value = { ...typed.value, name })}
        />
        <Select label="of the line" options={names} value={chosen} choose={(name) => (line.value = name)} />
        <Select
          label="its"
          options={Object.values(KINDS)}
          value={KINDS[kind.value]}
          choose={(words) => {
            const found = Object.entries(KINDS).find(([, said]) => said === words);
            if (found) kind.value = found[0] as Kind;
          }}
        />
        {stationed && (
          <Field
            label="at station of the reference"
            value={typed.value.station}
            type={(station) => (typed.value = { ...typed.value, station })}
          />
        )}
        <p>
          <button type="submit">Watch it</button>
        </p>
      </form>
    </details>
  );
}
