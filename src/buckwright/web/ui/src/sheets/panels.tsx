// Where must the metal move? One panel at a time: its shape, its edges, its seams, its sheet.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useFrame } from "../parts/fetched";
import { Table } from "../parts/table";
import { Choice } from "../parts/title";
import { Area, Length, Mass, percent } from "../parts/words";
import { picked } from "../state";
import type { PanelRow, PanelsSheet } from "../types";
import { Edges } from "./panel_edges";
import { Grid } from "./panel_grid";
import { Paper } from "./panel_paper";
import { Seams } from "./panel_seams";
import { Shape } from "./panel_shape";
import { Stock } from "./panel_stock";
import type { PanelFrame } from "./blank";

type View = "shape" | "edges" | "seams" | "sheets" | "grid" | "paper";

const VIEWS: [View, string][] = [
  ["shape", "shape and work"],
  ["edges", "edges"],
  ["seams", "seams"],
  ["sheets", "metal and sheets"],
  ["grid", "grid"],
  ["paper", "paper"],
];

export function Panels({ content }: { content: PanelsSheet }): JSX.Element {
  const chosen = useSignal("");
  const view = useSignal<View>(content.panels.length > 0 ? "shape" : "seams");
  const { panels } = content;
  if (panels.some((row) => row.name === picked.value)) chosen.value = picked.value!;
  const panel = panels.find((row) => row.name === chosen.value) ?? panels[0];
  const path = `/api/frame/panel/${panel ? panels.indexOf(panel) : 0}`;
  const frame = useFrame<PanelFrame>(path, content, panel !== undefined);
  const shown = panel && frame?.about.name === panel.name ? frame : null;
  const choose = (name: string): void => {
    chosen.value = name;
    picked.value = null;
  };
  return (
    <>
      <div class="tools">
        {panels.length > 0 && (
          <label class="pick">
            <span>Panel</span>
            <select value={panel!.name} onChange={(event) => choose(event.currentTarget.value)}>
              {panels.map((row) => (
                <option key={row.name}>{row.name}</option>
              ))}
            </select>
          </label>
        )}
        <Choice<View>
          head="Show"
          value={view.value}
          options={VIEWS}
          choose={(next) => (view.value = next)}
        />
      </div>
      {panel && <Facts panel={panel} />}
      {view.value === "seams" && <Seams content={content} of={panel} />}
      {view.value === "sheets" && <Stock content={content} />}
      {panel && view.value === "shape" && <Shape content={content} panel={panel} frame={shown} />}
      {panel && view.value === "edges" && <Edges content={content} panel={panel} frame={shown} />}
      {panel && view.value === "grid" && <Grid content={content} panel={panel} frame={shown} />}
      {panel && view.value === "paper" && <Paper content={content} panel={panel} />}
      {panels.length > 0 && <All content={content} />}
    </>
  );
}

const MARKS: Record<string, string> = { "takes it": "", "with care": "care", "will not take it": "no" };

function Facts({ panel }: { panel: PanelRow }): JSX.Element {
  const side = panel.side === "whole" ? "the middle, both sides in one" : `the ${panel.side} side`;
  return (
    <dl class="facts big">
      <div>
        <dt>For</dt>
        <dd>{side}</dd>
      </div>
      <div>
        <dt>Most stretch</dt>
        <dd>{percent(Math.max(panel.stretch, 0))}</dd>
      </div>
      <div>
        <dt>Most shrink</dt>
        <dd>{percent(Math.min(panel.shrink, 0))}</dd>
      </div>
      <div>
        <dt>The sheet</dt>
        <dd class={MARKS[panel.verdict.step]}>{panel.verdict.step}</dd>
      </div>
      <div>
        <dt>Blank</dt>
        <dd>
          <Length mm={panel.size[0]} /> × <Length mm={panel.size[1]} />
        </dd>
      </div>
    </dl>
  );
}

function All({ content }: { content: PanelsSheet }): JSX.Element {
  return (
    <div class="part">
      <Table
        caption={`All panels${content.sheet ? `, of ${content.sheet.alloy}` : ""}`}
        rows={content.panels}
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
  );
}

const Size = ({ of }: { of: PanelRow }): JSX.Element => (
  <>
    <Length mm={of.size[0]} /> × <Length mm={of.size[1]} />
  </>
);
