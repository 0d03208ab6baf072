// The forms in which trims, turned edges and beads are asked for.

import type { JSX } from "preact";
import { Field, Select, Switch } from "../parts/fields";
import { change } from "../state";
import type { BeadAsked, EdgeAsked, TrimAsked } from "../treated";
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

const BY = {
  "a line of the network": "line",
  "points drawn on the skin": "drawn",
  "a plane across an axis": "plane",
  "where another skin meets it": "meeting",
} as const;
const WAYS = ["the nearest place", "across the car", "straight down", "along the car"];
/** The axis that each of them follows. */
const WAY_AXES = [null, 1, 2, 0];
const EDGES = ["flange", "hem", "double hem", "wired edge", "trim", "weld"];
const TURNED = ["to the inside", "to the outside"];
const THROUGH = "points on the skin";
const BETWEEN = ["straight", "smooth"];

const byWords = (by: TrimAsked["by"] | undefined): string =>
  Object.entries(BY).find(([, kind]) => kind === by)?.[0] ?? Object.keys(BY)[0]!;

const wayWords = (along: TrimAsked["along"] | undefined): string => {
  const axis = along ? along.findIndex((part) => part !== 0) : null;
  return WAYS[WAY_AXES.indexOf(axis)] ?? WAYS[0]!;
};

export function TrimForm({ content, start }: RegionsProps<TrimAsked>): JSX.Element {
  const spec = start?.spec;
  const [region, select] = useRegion(content, spec?.region);
  const name = useStarted(spec?.name ?? "");
  const by = useStarted(byWords(spec?.by));
  const line = useStarted(spec?.line ?? "");
  const through = useStarted(shownPlaces(spec?.through ?? []));
  const closed = useStarted(spec?.closed ?? false);
  const [axis, value] = [useStarted(spec?.axis ?? "x"), useStarted(shown(spec?.value))];
  const way = useStarted(wayWords(spec?.along));
  const away = useStarted(spec ? shownPlaces([spec.away]) : "");
  const kind = BY[by.value as keyof typeof BY];
  const lines = (kind === "meeting" ? content.meetings : content.trim_lines) ?? [];
  const send = async (): Promise<void> => {
    const typed = {
      region: region?.region,
      name: name.value,
      by: kind,
      line: among(lines, line.value),
      through: through.value,
      closed: closed.value,
      axis: axis.value,
      value: kept(value.value, spec?.value) || "0",
      way: way.value,
      away: away.value,
    };
    if ((await change(asked("add trim", "trims", start, typed))) && !start)
      name.value = through.value = away.value = "";
  };
  return (
    <Form
      head={start ? `Change ${start.words}` : "Trim a region"}
      about="The piece on one side of a line is taken away; the line must run from edge to edge, or round. What is left ends along the trim, under the trim's name."
      go={start ? "Change it" : "Trim it"}
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

const shownStations = (edge: EdgeAsked["edge"] | undefined): string =>
  (edge?.stations ?? [])
    .map(({ at, width, angle_deg }) => `${Number((100 * at).toFixed(2))} %: ${width} mm; ${angle_deg}`)
    .join(" / ");

export function EdgeForm({ content, start }: RegionsProps<EdgeAsked>): JSX.Element {
  const spec = start?.spec.edge;
  const [region, select] = useRegion(content, start?.spec.region);
  const line = useStarted(spec?.along ?? "");
  const kind = useStarted(spec?.treatment ?? EDGES[0]!);
  const [width, wire] = [useStarted(shown(spec?.width)), useStarted(shown(spec?.wire))];
  const angle = useStarted(String(spec?.angle_deg ?? 90));
  const stations = useStarted(shownStations(spec));
  const between = useStarted<string>(spec?.between ?? BETWEEN[0]!);
  const way = useStarted(TURNED[spec?.way === "out" ? 1 : 0]!);
  const edges = region?.edges ?? [];
  const turned = kind.value !== "trim" && kind.value !== "weld";
  const send = async (): Promise<void> => {
    const typed = {
      region: region?.region,
      line: among(edges, line.value),
      treatment: kind.value,
      width: kept(width.value, spec?.width),
      wire: kept(wire.value, spec?.wire),
      angle: angle.value,
      stations: stations.value,
      between: between.value,
      way: way.value === TURNED[1] ? "out" : "in",
    };
    await change(asked("treat edge", "edge_treatments", start, typed));
  };
  return (
    <Form
      head={start ? `Change ${start.words}` : "Turn an edge"}
      about="Once for the skin: every panel that ends there takes it over, unless it names its own. Leave a size empty for the handbook's usual figure."
      go={start ? "Change it" : "Make it so"}
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
        <>
          <Field
            label="turned by, degrees from the skin"
            value={angle.value}
            type={(text) => (angle.value = text)}
          />
          <Field
            label="widths from its front to its rear end, as 0 %: 12 mm / 100 %: 30 mm; 60 (empty: the same all along)"
            value={stations.value}
            type={(text) => (stations.value = text)}
          />
          {stations.value.trim() && (
            <Select
              label="between them"
              options={BETWEEN}
              value={between.value}
              choose={(one) => (between.value = one)}
            />
          )}
        </>
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
type BeadSizes = Record<(typeof SIZES)[number][0], string>;

const beadSizes = (spec: BeadAsked | undefined): BeadSizes => ({
  width: shown(spec?.width),
  depth: shown(spec?.depth),
  radius: shown(spec?.radius),
  flat: shown(spec?.flat),
  run_out: spec?.run_out === 0 ? "0 mm" : shown(spec?.run_out),
  setback: spec?.setback === 0 ? "0 mm" : shown(spec?.setback),
});

export function BeadForm({ content, start }: RegionsProps<BeadAsked>): JSX.Element {
  const spec = start?.spec;
  const [region, select] = useRegion(content, spec?.region);
  const name = useStarted(spec?.name ?? "");
  const line = useStarted(spec?.line || THROUGH);
  const through = useStarted(shownPlaces(spec?.through ?? []));
  const sizes = useStarted(beadSizes(spec));
  const way = useStarted(TURNED[spec?.way === "in" ? 0 : 1]!);
  const lines = [THROUGH, ...(region?.inner ?? [])];
  if (spec?.line && spec.region === region?.region && !lines.includes(spec.line)) lines.push(spec.line);
  const along = among(lines, line.value);
  const send = async (): Promise<void> => {
    const typed = {
      region: region?.region,
      name: name.value,
      line: along === THROUGH ? "" : along,
      through: through.value,
      ...Object.fromEntries(SIZES.map(([key]) => [key, kept(sizes.value[key], spec?.[key])])),
      way: way.value === TURNED[1] ? "out" : "in",
    };
    if ((await change(asked("add bead", "beads", start, typed))) && !start)
      name.value = through.value = "";
  };
  return (
    <Form
      head={start ? `Change ${start.words}` : "Press a bead or a swage"}
      about="Its section is an arc, a straight flank and an arc, tangent all through. The list says what the sheet must stretch across it, and whether it takes that."
      go={start ? "Change it" : "Press it"}
      send={send}
    >
      <Field label="what the bead is called" value={name.value} type={(text) => (name.value = text)} />
      {select}
      <Select label="along" options={lines} value={along} choose={(one) => (line.value = one)} />
      {along === THROUGH && <Places label="points of the bead" text={through} several />}
      <Sizes words={SIZES} sizes={sizes} />
      <Select label="pressed" options={TURNED} value={way.value} choose={(one) => (way.value = one)} />
    </Form>
  );
}
