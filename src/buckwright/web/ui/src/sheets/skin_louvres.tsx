// The form in which a field of louvres is asked for.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { Field, Select } from "../parts/fields";
import { change } from "../state";
import { among, Form, Places, useRegion, type RegionsProps } from "./skin_treatments_forms";

const SIZES = [
  ["rows", "rows, side by side"],
  ["columns", "columns, end to end"],
  ["length", "length of a louvre"],
  ["width", "width, from cut to root"],
  ["height", "height of the lip"],
  ["row_pitch", "from row to row (one row: empty)"],
  ["column_pitch", "from column to column (one column: empty)"],
] as const;
const START = {
  rows: "1",
  columns: "1",
  length: "",
  width: "",
  height: "",
  row_pitch: "",
  column_pitch: "",
};
const ANY = "no line besides the edge";
const AXES = ["x", "y", "z"];
const OPENS = ["one side", "the other side"];

export function LouvreForm({ content }: RegionsProps): JSX.Element {
  const [region, select] = useRegion(content);
  const name = useSignal("");
  const at = useSignal("");
  const along = useSignal("x");
  const sizes = useSignal(START);
  const between = useSignal(ANY);
  const opens = useSignal(OPENS[0]!);
  const lines = [ANY, ...(region?.inner ?? [])];
  const keep = among(lines, between.value);
  const send = async (): Promise<void> => {
    const asked = {
      region: region?.region,
      name: name.value,
      at: at.value,
      along: along.value,
      ...sizes.value,
      between: keep === ANY ? "" : keep,
      opens: opens.value === OPENS[1] ? "minus" : "plus",
    };
    if (await change({ what: "add louvres", ...asked })) name.value = at.value = "";
  };
  return (
    <Form
      head="Cut louvres"
      about="Each is cut along one long side, and the metal beside the cut is pressed out to a lip. The list tells the length of all cuts, the stretch, and how far they are from edges and from each other."
      go="Cut them"
      send={send}
    >
      <Field label="what the louvres are called" value={name.value} type={(text) => (name.value = text)} />
      {select}
      <Places label="middle of the field" text={at} />
      <Select
        label="cuts run along"
        options={AXES}
        value={along.value}
        choose={(one) => (along.value = one)}
      />
      {SIZES.map(([key, words]) => (
        <Field
          key={key}
          label={words}
          value={sizes.value[key]}
          type={(text) => (sizes.value = { ...sizes.value, [key]: text })}
        />
      ))}
      <Select
        label="keep off"
        options={lines}
        value={keep}
        choose={(one) => (between.value = one)}
      />
      <Select label="open to" options={OPENS} value={opens.value} choose={(one) => (opens.value = one)} />
    </Form>
  );
}
