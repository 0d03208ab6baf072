// Where must the metal move? The panel in space and its blank beside it, coloured alike.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { skinBody } from "../engines/bodies";
import { mapped } from "../engines/materials";
import { roundRange } from "../engines/scale";
import { useFrame } from "../parts/fetched";
import { Legend } from "../parts/legend";
import { Space } from "../parts/space";
import { Table } from "../parts/table";
import { Choice } from "../parts/title";
import { Area, Length, Mass, percent } from "../parts/words";
import { picked, system } from "../state";
import type { PanelRow, PanelsSheet, Point3 } from "../types";
import { inUnits } from "../units";
import { BlankView, type FigureName } from "./blank";

const FIGURES: [FigureName, string][] = [
  ["area", "area"],
  ["major", "larger strain"],
  ["minor", "smaller strain"],
];

export function Panels({ content }: { content: PanelsSheet }): JSX.Element | null {
  const chosen = useSignal(0);
  const figure = useSignal<FigureName>("area");
  const { panels } = content;
  const place = panels.findIndex((row) => row.name === picked.value);
  if (place >= 0) chosen.value = place;
  const panel = panels[Math.min(chosen.value, panels.length - 1)];
  const path = `/api/frame/panel/${Math.max(panels.indexOf(panel!), 0)}`;
  const frame = useFrame<{ name: string }>(path, content, panel !== undefined);
  if (!panel) return null;
  const shown = frame?.about.name === panel.name ? frame : null;
  const values = shown?.floats(figure.value);
  const { range, step } = roundRange(values ?? [], 0.004);
  const spot = panel.areas.find((_, k) => areaName(panel, k) === picked.value);
  return (
    <>
      <div class="tools">
        <Choice<string>
          head="Panel"
          value={panel.name}
          options={panels.map((row) => [row.name, row.name])}
          choose={(name) => {
            chosen.value = panels.findIndex((row) => row.name === name);
            picked.value = null;
          }}
        />
        <Choice<FigureName>
          head="Colour by"
          value={figure.value}
          options={FIGURES}
          choose={(name) => (figure.value = name)}
        />
      </div>
      <div class={panel.size[0] > 1.8 * panel.size[1] ? "one-below" : "pair"}>
        <Space
          label={`${panel.name} as it must be, in space`}
          of={[shown, figure.value]}
          parts={() =>
            shown && values
              ? [
                  {
                    name: panel.name,
                    body: skinBody(shown.floats("vertices"), shown.counts("triangles"), values),
                    material: mapped(range, step),
                    cut: true,
                  },
                ]
              : []
          }
          onPick={() => undefined}
          said={spot ? `${spot.kind}: ${inUnits(spot.words, system.value)}` : `${panel.name} as it must be`}
          lookAt={(spot?.centre as Point3 | undefined) ?? null}
        />
        <BlankView frame={shown} figure={figure.value} range={range} step={step} panel={panel} />
      </div>
      <Legend
        title="Shape map"
        range={range}
        step={step}
        write={(value) => percent(value, step < 0.01 ? 1 : 0)}
        low="shrink"
        high="stretch"
      />
      <section class="part">
        <h2>Does the sheet take it?</h2>
        <p class={`verdict ${panel.verdict.step === "takes it" ? "" : "stale"}`}>
          <strong>
            {panel.name}: {panel.verdict.step}.
          </strong>{" "}
          {inUnits(panel.verdict.reason, system.value)}{" "}
          <span class="quiet">({panel.verdict.source})</span>
        </p>
      </section>
      <div class="part">
        <Table
          caption={`How ${panel.name} is shaped`}
          rows={panel.areas.map((area, k) => ({ ...area, name: areaName(panel, k) }))}
          name={(row) => row.name}
          head="Where"
          columns={[
            { head: "on average", cell: (row) => percent(row.mean) },
            { head: "at most", cell: (row) => percent(row.peak) },
            { head: "over", cell: (row) => <Area mm2={row.area} /> },
            { head: "how", words: true, cell: (row) => inUnits(row.words, system.value) },
          ]}
        />
      </div>
      <div class="part">
        <Table
          caption={`Panels${content.sheet ? ` of ${content.sheet.alloy}` : ""}`}
          rows={panels}
          name={(row) => row.name}
          head="Panel"
          columns={[
            { head: "blank", cell: (row) => <Size of={row} /> },
            { head: "area", cell: (row) => <Area mm2={row.area} /> },
            { head: "stretch", cell: (row) => percent(Math.max(row.stretch, 0)) },
            { head: "shrink", cell: (row) => percent(Math.min(row.shrink, 0)) },
            { head: "mass", cell: (row) => <Mass kg={row.mass} /> },
            { head: "the sheet", words: true, cell: (row) => row.verdict.step },
          ]}
        />
      </div>
    </>
  );
}

const areaName = (panel: PanelRow, k: number): string => `${panel.areas[k]!.kind} ${k + 1}`;

const Size = ({ of }: { of: PanelRow }): JSX.Element => (
  <>
    <Length mm={of.size[0]} /> × <Length mm={of.size[1]} />
  </>
);
