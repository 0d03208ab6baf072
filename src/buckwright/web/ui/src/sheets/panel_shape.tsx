// The panel in space and its blank beside it, coloured alike; the work in order; the verdict.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { rodBody, skinBody } from "../engines/bodies";
import { bordersOf, nearestTriangle, pointsOf } from "../engines/borders";
import { mapped, solid } from "../engines/materials";
import { roundRange } from "../engines/scale";
import type { Part } from "../engines/view3d";
import { Legend } from "../parts/legend";
import { Space } from "../parts/space";
import { Table } from "../parts/table";
import { Choice } from "../parts/title";
import { TypedLength } from "../parts/typed";
import { Area, Fine, Length, percent } from "../parts/words";
import { change, pick, picked, system } from "../state";
import type { Frame } from "../server";
import type { PanelRow, PanelsSheet, SpecRow } from "../types";
import { formatFine, formatLength, inUnits } from "../units";
import { BlankView, type FigureName, type PanelFrame } from "./blank";
import { AIMS, areaName, GRAINS, placeOf } from "./panel_words";
import { Work } from "./panel_work";

const FIGURES: [FigureName, string][] = [
  ["area", "area"],
  ["major", "larger strain"],
  ["minor", "smaller strain"],
];

const MOST_OTHERS = 6;

interface Props {
  content: PanelsSheet;
  panel: PanelRow;
  frame: Frame<PanelFrame> | null;
}

export function Shape({ content, panel, frame }: Props): JSX.Element {
  const figure = useSignal<FigureName>("area");
  const values = frame?.floats(figure.value);
  const { range, step } = roundRange(values ?? [], 0.004);
  const place = placeOf(panel, picked.value);
  const spot = panel.areas[place];
  const spec = content.specs.find((row) => row.name === panel.spec);
  const take = (at: ArrayLike<number>, on: "vertices" | "flat"): void => {
    if (!frame) return;
    const triangle = nearestTriangle(frame.floats(on), frame.counts("triangles"), at);
    const area = (frame.counts("places")[triangle] ?? 0) - 1;
    if (panel.areas[area]) pick(areaName(panel.areas[area], area));
  };
  return (
    <>
      <div class={panel.size[0] > 1.8 * panel.size[1] ? "one-below" : "pair"}>
        <Space
          label={`${panel.name} as it must be, in space`}
          of={[frame, figure.value, place]}
          parts={() => (frame && values ? panelParts(frame, values, range, step, place) : [])}
          onPick={(_, at) => at && take(at, "vertices")}
          said={spot ? areaWords(panel, place) : "Click a place on the panel or the blank to read what it needs."}
        />
        <BlankView
          frame={frame}
          figure={figure.value}
          range={range}
          step={step}
          panel={panel}
          picked={place}
          onPick={(at) => take(at, "flat")}
        />
      </div>
      <div class="tools">
        <Legend
          title="Shape map"
          range={range}
          step={step}
          write={(value) => percent(value, step < 0.01 ? 1 : 0)}
          low="shrink"
          high="stretch"
        />
        <Choice<FigureName>
          head="Colour by"
          value={figure.value}
          options={FIGURES}
          choose={(name) => (figure.value = name)}
        />
      </div>
      <Work panel={panel} />
      <VerdictPart panel={panel} />
      {spec && <Aim spec={spec} panel={panel} content={content} />}
      <div class="part">
        <Table
          caption={`How ${panel.name} is shaped`}
          rows={panel.areas.map((area, k) => ({ ...area, name: areaName(area, k) }))}
          name={(row) => row.name}
          head="Where"
          columns={[
            { head: "on average", cell: (row) => percent(row.mean) },
            { head: "at most", cell: (row) => percent(row.peak) },
            { head: "over", cell: (row) => <Area mm2={row.area} /> },
            {
              head: "thickness after",
              cell: (row) => (row.thickness > 0 ? <Fine mm={row.thickness} /> : ""),
            },
            {
              head: "lower anvil",
              cell: (row) => (row.anvil > 0 ? <Length mm={Math.round(row.anvil)} /> : ""),
            },
            { head: "bend", words: true, cell: (row) => row.bend },
            {
              head: "bends round, tighter and slacker",
              cell: (row) => row.radii.map((mm) => (mm ? radius(mm) : "flat")).join(", "),
            },
          ]}
        />
      </div>
    </>
  );
}

const radius = (mm: number): string => formatLength(Math.round(mm), system.value);

function areaWords(panel: PanelRow, place: number): string {
  const area = panel.areas[place]!;
  const thick = area.thickness > 0 ? ` ${formatFine(area.thickness, system.value)} thick after.` : "";
  return `${areaName(area, place)}: ${inUnits(area.words, system.value)}.${thick}`;
}

/** The coloured panel, and a rod round the area that is picked. */
function panelParts(
  frame: Frame<PanelFrame>,
  values: Float32Array,
  range: number,
  step: number,
  place: number,
): Part[] {
  const [vertices, triangles] = [frame.floats("vertices"), frame.counts("triangles")];
  const parts: Part[] = [
    {
      name: frame.about.name,
      body: skinBody(vertices, triangles, values),
      material: mapped(range, step),
      cut: true,
    },
  ];
  for (const run of bordersOf(triangles, frame.counts("places")).get(place + 1) ?? []) {
    if (place < 0 || run.length < 8) continue;
    const body = rodBody(pointsOf(vertices, run, 3), 0.008 * sizeOf(vertices), false);
    parts.push({ name: null, body, material: solid(0x1c2220) });
  }
  return parts;
}

export function sizeOf(vertices: Float32Array): number {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  vertices.forEach((number, k) => {
    low[k % 3] = Math.min(low[k % 3]!, number);
    high[k % 3] = Math.max(high[k % 3]!, number);
  });
  return Math.max(...high.map((number, k) => number - low[k]!));
}

function VerdictPart({ panel }: { panel: PanelRow }): JSX.Element {
  const { verdict, thickness } = panel;
  return (
    <section class="part">
      <h2>Does the sheet take it?</h2>
      <p class={`verdict ${verdict.step === "takes it" ? "" : "stale"}`}>
        <strong>
          {panel.name}: {verdict.step}.
        </strong>{" "}
        {inUnits(verdict.reason, system.value)} <span class="quiet">({verdict.source})</span>
      </p>
      {thickness[1] > 0 && (
        <p>
          After forming it is <Fine mm={thickness[0]} /> thick at the thinnest place and{" "}
          <Fine mm={thickness[1]} /> at the thickest.
          {verdict.uniform > 0 && ` The metal begins to neck at ${percent(verdict.uniform, 0)}.`}
          {verdict.forming_limit > 0 &&
            ` Low-carbon steel of this thickness tears at about ${percent(verdict.forming_limit, 0)} one way.`}
        </p>
      )}
      {verdict.anneal && !panel.work.some((step) => step.what === "anneal") && (
        <p class="stale">
          <strong>Caution.</strong> {inUnits(verdict.anneal, system.value)}
        </p>
      )}
      {verdict.others.length > 0 && (
        <Table
          caption="What would take it instead"
          still
          rows={verdict.others.slice(0, MOST_OTHERS)}
          name={(row) => `${row.alloy} ${row.thickness} ${row.words}`}
          label={(row) => row.alloy}
          head="Sheet"
          columns={[
            { head: "thickness", cell: (row) => <Fine mm={row.thickness} /> },
            { head: "asked of it", cell: (row) => `${Math.round(100 * row.share)} %` },
            { head: "verdict", words: true, cell: (row) => row.step },
            { head: "why", words: true, cell: (row) => inUnits(row.words, system.value) },
          ]}
        />
      )}
    </section>
  );
}

function Aim(props: { spec: SpecRow; panel: PanelRow; content: PanelsSheet }): JSX.Element {
  const { spec, panel, content } = props;
  const { aims, grains } = content.choices;
  return (
    <section class="part">
      <h2>How the blank is chosen</h2>
      <p>{panel.aim_words}</p>
      <div class="tools rows">
        <Choice<string>
          head="Aim"
          value={spec.aim}
          options={aims.map((aim): [string, string] => [aim, AIMS[aim] ?? aim])}
          choose={(aim) => void change({ what: "panel aim", panel: spec.name, aim })}
        />
        <label class="pick">
          <span>Grain of the sheet runs</span>
          <select
            value={spec.grain}
            onChange={(event) =>
              void change({
                what: "panel grain",
                panel: spec.name,
                grain: event.currentTarget.value,
              })
            }
          >
            {grains.map((grain) => (
              <option key={grain} value={grain}>
                {GRAINS[grain] ?? grain}
              </option>
            ))}
          </select>
        </label>
        <TypedLength
          label="Left on for trimming"
          mm={spec.trim_allowance}
          send={(length) => ({ what: "panel allowance", panel: spec.name, length })}
        />
        {panel.side === "whole" && (
          <label class="switch">
            <input
              type="checkbox"
              checked={spec.both_sides}
              onChange={(event) =>
                void change({
                  what: "panel both sides",
                  panel: spec.name,
                  on: event.currentTarget.checked,
                })
              }
            />
            <span>Make it for the other side too, mirrored</span>
          </label>
        )}
      </div>
      {panel.side !== "whole" && (
        <p class="quiet">
          It is made left and right; what you change here holds for both.
        </p>
      )}
    </section>
  );
}
