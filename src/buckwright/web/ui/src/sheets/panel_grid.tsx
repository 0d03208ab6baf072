// Squares on the blank with the lengths they must have on the finished panel: progress by tape.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import { pathOf } from "../parts/flat";
import { Table } from "../parts/table";
import { Choice } from "../parts/title";
import { Fine, Length, percent } from "../parts/words";
import { pick, picked, system } from "../state";
import type { Frame } from "../server";
import type { GridLineRow, PanelRow, PanelsSheet } from "../types";
import { formatFine } from "../units";
import { BlankView, turned, type PanelFrame } from "./blank";

interface Props {
  content: PanelsSheet;
  panel: PanelRow;
  frame: Frame<PanelFrame> | null;
}

export function Grid({ content, panel, frame }: Props): JSX.Element {
  const chosen = useSignal("");
  const grid = content.grids.find((row) => row.panel === panel.name);
  const lines = grid?.lines ?? [];
  const asked = lines.find((line) => lineName(line) === picked.value);
  useEffect(() => {
    if (asked) chosen.value = asked.name;
  }, [asked]);
  if (!grid || lines.length === 0) return <p class="quiet">This panel has no grid yet.</p>;
  const line = asked ?? lines.find((one) => one.name === chosen.value) ?? lines[0]!;
  return (
    <>
      <p>
        Scribe the grid on the blank, squares of <Length mm={grid.square} />, along and across the
        grain. While the panel is formed, hold a tape along a line: each piece must come to the
        length in the table.
      </p>
      <BlankView frame={frame} figure="area" range={1} step={1} panel={panel}>
        {(unit) => (
          <>
            {lines.map((one) => (
              <g key={one.name} class={`grid-scribed${one === line ? " on" : ""}`}>
                <path d={pathOf(one.points.map(turned))} />
                <text
                  x={one.points[0]![0] - (one.way === "along" ? 13 * unit : 0)}
                  y={-one.points[0]![1] + (one.way === "along" ? 5 : 18) * unit}
                  text-anchor="middle"
                >
                  {one.name}
                </text>
              </g>
            ))}
          </>
        )}
      </BlankView>
      <div class="tools">
        <Choice<string>
          head="Line"
          value={line.name}
          options={lines.map((one): [string, string] => [one.name, one.name])}
          choose={(name) => {
            chosen.value = name;
            if (picked.value) picked.value = null;
          }}
        />
      </div>
      <Strip line={line} />
      <div class="part">
        <Table
          caption={`Line ${line.name}, from mark to mark`}
          still
          rows={line.blank.map((blank, k) => ({ blank, panel: line.panel[k]!, k }))}
          name={(row) => `${line.crossings[row.k]} to ${line.crossings[row.k + 1]}`}
          head="Marks"
          columns={[
            { head: "on the blank", cell: (row) => <Fine mm={row.blank} /> },
            { head: "on the finished panel", cell: (row) => <Fine mm={row.panel} /> },
            { head: "change", cell: (row) => percent(row.panel / row.blank - 1) },
          ]}
        />
      </div>
      <div class="part">
        <Table
          caption="All lines, end to end"
          rows={lines}
          name={lineName}
          label={(row) => row.name}
          head="Line"
          columns={[
            { head: "runs", words: true, cell: (row) => `${row.way} the grain` },
            { head: "on the blank", cell: (row) => <Fine mm={sum(row.blank)} /> },
            { head: "on the finished panel", cell: (row) => <Fine mm={sum(row.panel)} /> },
            { head: "change", cell: (row) => percent(sum(row.panel) / sum(row.blank) - 1) },
            { head: "gauge strip", words: true, cell: (row) => (row.strip ? "in the packet" : "") },
          ]}
        />
      </div>
      <p>
        <button type="button" onClick={() => pick(lineName(longest(lines)))}>
          Show the line that changes most
        </button>
      </p>
    </>
  );
}

const lineName = (line: GridLineRow): string => `grid line ${line.name}`;
const sum = (lengths: number[]): number => lengths.reduce((total, one) => total + one, 0);

function longest(lines: GridLineRow[]): GridLineRow {
  const off = (line: GridLineRow): number => Math.abs(sum(line.panel) / sum(line.blank) - 1);
  return lines.reduce((most, line) => (off(line) > off(most) ? line : most));
}

/** A gauge strip: marks of the finished panel above, those of the blank below. */
function Strip({ line }: { line: GridLineRow }): JSX.Element {
  const long = Math.max(sum(line.blank), sum(line.panel));
  const at = (lengths: number[]): number[] =>
    lengths.reduce((marks, one) => [...marks, marks[marks.length - 1]! + one], [0]);
  const x = (mm: number): number => 20 + (960 * mm) / long;
  const words = `${formatFine(sum(line.blank), system.value)} on the blank, ${formatFine(sum(line.panel), system.value)} on the finished panel`;
  return (
    <figure class="view">
      <svg class="gauge-strip" viewBox="0 0 1000 84" role="img" aria-label={`Gauge strip of line ${line.name}: ${words}`}>
        <path class="strip-edge" d="M8 14H992V70H8Z" />
        <path class="strip-panel" d={at(line.panel).map((mm) => `M${x(mm)} 14V42`).join("")} />
        <path class="strip-blank" d={at(line.blank).map((mm) => `M${x(mm)} 42V70`).join("")} />
      </svg>
      <p class="said">
        Line {line.name}: {words}. Upper marks: the finished panel; lower: the blank.
      </p>
    </figure>
  );
}
