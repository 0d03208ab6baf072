// What becomes of each edge of a panel: trimmed, welded, flanged, hemmed, wired.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import { rodBody, skinBody } from "../engines/bodies";
import { pointsOf } from "../engines/borders";
import { plainMetal, solid } from "../engines/materials";
import type { Part } from "../engines/view3d";
import { Space } from "../parts/space";
import { Length } from "../parts/words";
import { change, dark, pick, picked, system } from "../state";
import type { Frame } from "../server";
import type { EdgeRow, PanelRow, PanelsSheet } from "../types";
import { formatLength, inUnits } from "../units";
import type { PanelFrame } from "./blank";
import { sizeOf } from "./panel_shape";
import { sentence } from "./panel_work";
import { TREATMENTS } from "./panel_words";

interface Props {
  content: PanelsSheet;
  panel: PanelRow;
  frame: Frame<PanelFrame> | null;
}

const edgeKey = (row: EdgeRow, k: number): string => `edge ${k + 1}, ${row.name || "not named"}`;

export function Edges({ content, panel, frame }: Props): JSX.Element {
  const now = panel.edges.findIndex((row, k) => edgeKey(row, k) === picked.value);
  const row = panel.edges[now];
  return (
    <>
      <Space
        label={`${panel.name} with its edges`}
        of={[frame, picked.value]}
        parts={() => (frame ? edgeParts(frame, panel, row?.name ?? null) : [])}
        onPick={(name) => name && name !== panel.name && pick(keyOf(panel, name))}
        said={
          row
            ? `${edgeKey(row, now)}: ${inUnits(row.words, system.value)}`
            : "Click an edge, or take one from the list."
        }
      />
      <ol class="edges">
        {panel.edges.map((edge, k) => (
          <li key={k} class={k === now ? "on" : ""}>
            <button
              type="button"
              class="name"
              aria-pressed={k === now}
              onClick={() => pick(edgeKey(edge, k))}
            >
              {edgeKey(edge, k)}
            </button>
            <p>
              <Length mm={edge.length} /> long; metal beyond the finished edge:{" "}
              <Length mm={edge.allowance} />. {sentence(inUnits(edge.words, system.value))}.{" "}
              <span class="quiet">({edge.source})</span>
            </p>
            {edge.name && <Treat panel={panel} edge={edge} known={content.choices.treatments} />}
          </li>
        ))}
      </ol>
      <p class="quiet">
        Leave a size empty for the handbook's usual figure. A seam's edge is welded or trimmed unless
        you say otherwise.
      </p>
    </>
  );
}

function keyOf(panel: PanelRow, name: string): string | null {
  const k = panel.edges.findIndex((row) => row.name === name);
  return k < 0 ? null : edgeKey(panel.edges[k]!, k);
}

function edgeParts(frame: Frame<PanelFrame>, panel: PanelRow, on: string | null): Part[] {
  const vertices = frame.floats("vertices");
  const size = sizeOf(vertices);
  const rods = frame.about.edges.map((edge, k): Part => {
    const run = frame.counts(`e${k}`);
    const here = edge.name === on;
    return {
      name: edge.name || null,
      body: rodBody(pointsOf(vertices, run, 3), (here ? 0.022 : 0.012) * size, edge.closed),
      material: solid(here ? (dark.value ? 0x7fd3b1 : 0x14604a) : dark.value ? 0xd8d2c2 : 0x4a4f4b),
    };
  });
  return [
    {
      name: panel.name,
      body: skinBody(vertices, frame.counts("triangles")),
      material: plainMetal(dark.value),
    },
    ...rods,
  ];
}

const LABELS = {
  width: "width",
  wire: "wire",
  radius: "bend radius",
  angle: "degrees",
  way: "turned",
} as const;

type Sizes = Record<"width" | "wire" | "radius" | "angle" | "way", string>;

function asTyped(edge: EdgeRow): Sizes {
  const asked = edge.asked;
  const length = (mm: number | undefined): string => (mm ? formatLength(mm, system.value) : "");
  return {
    width: length(asked?.width),
    wire: length(asked?.wire),
    radius: length(asked?.radius),
    angle: String(asked?.angle_deg ?? 90),
    way: asked?.way ?? "in",
  };
}

function Treat(props: { panel: PanelRow; edge: EdgeRow; known: string[] }): JSX.Element {
  const { panel, edge, known } = props;
  const treatment = useSignal(edge.asked?.treatment ?? "");
  const sizes = useSignal<Sizes>(asTyped(edge));
  useEffect(() => {
    treatment.value = edge.asked?.treatment ?? "";
    sizes.value = asTyped(edge);
  }, [edge]);
  const send = (event: Event): void => {
    event.preventDefault();
    const { width, wire, radius, angle, way } = sizes.value;
    void change({
      what: "panel edge",
      panel: panel.spec,
      along: edge.name,
      treatment: treatment.value,
      width,
      wire,
      radius,
      angle,
      way,
    });
  };
  return (
    <form class="tools treat" onSubmit={send} aria-label={`Edge ${edge.name} of ${panel.name}`}>
      <label class="pick">
        <span>Make it</span>
        <select
          value={treatment.value}
          onChange={(event) => (treatment.value = event.currentTarget.value)}
        >
          <option value="">plain: as the allowance says</option>
          {known.map((name) => (
            <option key={name}>{name}</option>
          ))}
        </select>
      </label>
      {(TREATMENTS[treatment.value] ?? []).map((size) => (
        <label class="pick" key={size}>
          <span>{LABELS[size]}</span>
          {size === "way" ? (
            <select
              value={sizes.value.way}
              onChange={(event) => (sizes.value = { ...sizes.value, way: event.currentTarget.value })}
            >
              <option value="in">to the inside</option>
              <option value="out">to the outside</option>
            </select>
          ) : (
            <input
              type="text"
              class="short"
              autocomplete="off"
              placeholder="usual"
              value={sizes.value[size]}
              onInput={(event) =>
                (sizes.value = { ...sizes.value, [size]: event.currentTarget.value })
              }
            />
          )}
        </label>
      ))}
      <button type="submit">Change</button>
    </form>
  );
}
