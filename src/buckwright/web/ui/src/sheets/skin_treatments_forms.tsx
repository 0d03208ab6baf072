// The forms in which trims, turned edges and beads are asked for.

import { signal, useSignal, type Signal } from "@preact/signals";
import type { ComponentChildren, JSX } from "preact";
import { Field, Select, Switch } from "../parts/fields";
import { change } from "../state";
import type { Treatable } from "../treated";
import type { SkinSheet } from "../types";

/** Where the skin was clicked last, mm. */
export const placed = signal<[number, number, number] | null>(null);

const BY = {
  "a line of the network": "line",
  "points drawn on the skin": "drawn",
  "a plane across an axis": "plane",
  "where another skin meets it": "meeting",
} as const;
const WAYS = ["the nearest place", "across the car", "straight down", "along the car"];
const EDGES = ["flange", "hem", "double hem", "wired edge", "trim", "weld"];
const TURNED = ["to the inside", "to the outside"];
const THROUGH = "points on the skin";

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

export interface RegionsProps {
  content: SkinSheet;
}

export const useRegion = (content: SkinSheet): [Treatable | undefined, JSX.Element] => {
  const rows = content.treatable ?? [];
  const chosen = useSignal("");
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

export function TrimForm({ content }: RegionsProps): JSX.Element {
  const [region, select] = useRegion(content);
  const name = useSignal("");
  const by = useSignal<string>(Object.keys(BY)[0]!);
  const line = useSignal("");
  const through = useSignal("");
  const closed = useSignal(false);
  const [axis, value] = [useSignal("x"), useSignal("")];
  const way = useSignal(WAYS[0]!);
  const away = useSignal("");
  const kind = BY[by.value as keyof typeof BY];
  const lines = (kind === "meeting" ? content.meetings : content.trim_lines) ?? [];
  const send = async (): Promise<void> => {
    const asked = {
      region: region?.region,
      name: name.value,
      by: kind,
      line: among(lines, line.value),
      through: through.value,
      closed: closed.value,
      axis: axis.value,
      value: value.value,
      way: way.value,
      away: away.value,
    };
    if (await change({ what: "add trim", ...asked })) name.value = through.value = away.value = "";
  };
  return (
    <Form
      head="Trim a region"
      about="The piece on one side of a line is taken away; the line must run from edge to edge, or round. What is left ends along the trim, under the trim's name."
      go="Trim it"
      send={send}
    >
      <Field label="what the trim is called" value={name.value} type={(text) => (name.value = text)} />
      {select}
      <Select
        label="along"
        options={Object.keys(BY)}
        value={by.value}
        choose={(one) => (by.value = one)}
      />
      {(kind === "line" || kind === "meeting") && (
        <Select
          label="which"
          options={lines}
          value={among(lines, line.value)}
          choose={(one) => (line.value = one)}
        />
      )}
      {kind === "drawn" && (
        <>
          <Places label="points of the trim" text={through} several />
          <Switch
            on={closed.value}
            words="it runs round and closes"
            flip={(on) => (closed.value = on)}
          />
        </>
      )}
      {kind === "plane" ? (
        <>
          <Select
            label="axis"
            options={["x", "y", "z"]}
            value={axis.value}
            choose={(one) => (axis.value = one)}
          />
          <Field label="it lies at" value={value.value} type={(text) => (value.value = text)} />
        </>
      ) : (
        <Select
          label="laid on the skin at"
          options={WAYS}
          value={way.value}
          choose={(one) => (way.value = one)}
        />
      )}
      <Places label="a place on the piece that goes" text={away} />
    </Form>
  );
}

export function EdgeForm({ content }: RegionsProps): JSX.Element {
  const [region, select] = useRegion(content);
  const line = useSignal("");
  const kind = useSignal(EDGES[0]!);
  const [width, wire, angle] = [useSignal(""), useSignal(""), useSignal("90")];
  const way = useSignal(TURNED[0]!);
  const edges = region?.edges ?? [];
  const turned = kind.value !== "trim" && kind.value !== "weld";
  const send = async (): Promise<void> => {
    await change({
      what: "treat edge",
      region: region?.region,
      line: among(edges, line.value),
      treatment: kind.value,
      width: width.value,
      wire: wire.value,
      angle: angle.value,
      way: way.value === TURNED[1] ? "out" : "in",
    });
  };
  return (
    <Form
      head="Turn an edge"
      about="Once for the skin: every panel that ends there takes it over, unless it names its own. Leave a size empty for the handbook's usual figure."
      go="Make it so"
      send={send}
    >
      {select}
      <Select
        label="edge"
        options={edges}
        value={among(edges, line.value)}
        choose={(one) => (line.value = one)}
      />
      <Select label="make it a" options={EDGES} value={kind.value} choose={(one) => (kind.value = one)} />
      {kind.value === "wired edge" ? (
        <Field label="diameter of the wire" value={wire.value} type={(text) => (wire.value = text)} />
      ) : (
        <Field label="how wide" value={width.value} type={(text) => (width.value = text)} />
      )}
      {kind.value === "flange" && (
        <Field
          label="turned by, degrees from the skin"
          value={angle.value}
          type={(text) => (angle.value = text)}
        />
      )}
      {turned && (
        <Select label="turned" options={TURNED} value={way.value} choose={(one) => (way.value = one)} />
      )}
    </Form>
  );
}

const SIZES = [
  ["width", "width from foot to foot"],
  ["depth", "depth"],
  ["radius", "radius of feet and top"],
  ["flat", "flat top, for a swage (empty: none)"],
  ["run_out", "run-out at either end (empty: 40 mm)"],
  ["setback", "from the ends of the line (empty: 30 mm)"],
] as const;
const NO_SIZES = { width: "", depth: "", radius: "", flat: "", run_out: "", setback: "" };

export function BeadForm({ content }: RegionsProps): JSX.Element {
  const [region, select] = useRegion(content);
  const name = useSignal("");
  const line = useSignal(THROUGH);
  const through = useSignal("");
  const sizes = useSignal(NO_SIZES);
  const way = useSignal(TURNED[1]!);
  const lines = [THROUGH, ...(region?.inner ?? [])];
  const along = among(lines, line.value);
  const send = async (): Promise<void> => {
    const asked = {
      region: region?.region,
      name: name.value,
      line: along === THROUGH ? "" : along,
      through: through.value,
      ...sizes.value,
      way: way.value === TURNED[1] ? "out" : "in",
    };
    if (await change({ what: "add bead", ...asked })) name.value = through.value = "";
  };
  return (
    <Form
      head="Press a bead or a swage"
      about="Its section is an arc, a straight flank and an arc, tangent all through. The list says what the sheet must stretch across it, and whether it takes that."
      go="Press it"
      send={send}
    >
      <Field label="what the bead is called" value={name.value} type={(text) => (name.value = text)} />
      {select}
      <Select label="along" options={lines} value={along} choose={(one) => (line.value = one)} />
      {along === THROUGH && <Places label="points of the bead" text={through} several />}
      {SIZES.map(([key, words]) => (
        <Field
          key={key}
          label={words}
          value={sizes.value[key]}
          type={(text) => (sizes.value = { ...sizes.value, [key]: text })}
        />
      ))}
      <Select label="pressed" options={TURNED} value={way.value} choose={(one) => (way.value = one)} />
    </Form>
  );
}
