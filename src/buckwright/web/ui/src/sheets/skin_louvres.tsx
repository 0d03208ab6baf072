// The form in which a field of louvres is asked for.

import type { JSX } from "preact";
import { Field, Select } from "../parts/fields";
import { change } from "../state";
import type { LouvresAsked } from "../treated";
import {
  among,
  asked,
  Form,
  kept,
  Places,
  shown,
  shownPlaces,
  Sizes,
  useRegion,
  useStarted,
  type RegionsProps,
} from "./skin_treatments_asking";

const SIZES = [
  ["rows", "rows, side by side"],
  ["columns", "columns, end to end"],
  ["length", "length of a louvre"],
  ["width", "width, from cut to root"],
  ["height", "height of the lip"],
  ["row_pitch", "from row to row (one row: empty)"],
  ["column_pitch", "from column to column (one column: empty)"],
] as const;
type LouvreSizes = Record<(typeof SIZES)[number][0], string>;

const louvreSizes = (spec: LouvresAsked | undefined): LouvreSizes => ({
  rows: String(spec?.rows ?? 1),
  columns: String(spec?.columns ?? 1),
  length: shown(spec?.length),
  width: shown(spec?.width),
  height: shown(spec?.height),
  row_pitch: shown(spec?.row_pitch),
  column_pitch: shown(spec?.column_pitch),
});
const COUNTS: readonly string[] = ["rows", "columns"];
const ANY = "no line besides the edge";
const AXES = ["x", "y", "z"];
const OPENS = ["one side", "the other side"];
const SLITS = ["on the formed panel", "in the flat"];

export function LouvreForm({ content, start }: RegionsProps<LouvresAsked>): JSX.Element {
  const spec = start?.spec;
  const [region, select] = useRegion(content, spec?.region);
  const name = useStarted(spec?.name ?? "");
  const at = useStarted(spec ? shownPlaces([spec.at]) : "");
  const along = useStarted(spec?.along ?? "x");
  const sizes = useStarted(louvreSizes(spec));
  const between = useStarted(spec?.between[0] ?? ANY);
  const opens = useStarted(OPENS[spec?.opens === "minus" ? 1 : 0]!);
  const slits = useStarted<string>(spec?.slits ?? SLITS[0]!);
  const lines = [ANY, ...(region?.inner ?? [])];
  const keep = among(lines, between.value);
  const send = async (): Promise<void> => {
    const lengths = SIZES.map(([key]) => [
      key,
      COUNTS.includes(key) ? sizes.value[key] : kept(sizes.value[key], spec?.[key]),
    ]);
    const typed = {
      region: region?.region,
      name: name.value,
      at: at.value,
      along: along.value,
      ...Object.fromEntries(lengths),
      between: keep === ANY ? "" : keep,
      opens: opens.value === OPENS[1] ? "minus" : "plus",
      slits: slits.value,
    };
    if ((await change(asked("add louvres", "louvres", start, typed))) && !start)
      name.value = at.value = "";
  };
  return (
    <Form
      head={start ? `Change ${start.words}` : "Cut louvres"}
      about="Each is cut along one long side, and the metal beside the cut is pressed out to a lip. The list tells the length of all cuts, the stretch, and how far they are from edges and from each other."
      go={start ? "Change it" : "Cut them"}
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
      <Sizes words={SIZES} sizes={sizes} />
      <Select
        label="keep off"
        options={lines}
        value={keep}
        choose={(one) => (between.value = one)}
      />
      <Select label="open to" options={OPENS} value={opens.value} choose={(one) => (opens.value = one)} />
      <Select
        label="slits are cut"
        options={SLITS}
        value={slits.value}
        choose={(one) => (slits.value = one)}
      />
    </Form>
  );
}
