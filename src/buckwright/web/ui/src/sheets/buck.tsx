// What do we bend and weld?

import { useSignal, type Signal } from "@preact/signals";
import type { JSX } from "preact";
import { useFrame } from "../parts/fetched";
import { Space } from "../parts/space";
import { Table } from "../parts/table";
import { Choice } from "../parts/title";
import { Length, Mass } from "../parts/words";
import { pick, picked, system } from "../state";
import type { BuckSheet, WireRow } from "../types";
import { formatLength } from "../units";
import {
  bolted,
  buckParts,
  hex,
  keyOf,
  tube,
  type By,
  type Only,
  type Regions,
  type Rods,
  type Shown,
} from "./buckview";
import { Chosen } from "./chosen";
import { FrameSheet } from "./frame";
import { Spacing } from "./spacing";
import { Standing, Tick, VERDICTS } from "./standing";
import { StationBuck } from "./stationbuck";
import { Stock } from "./stock";
import { WireSheet } from "./wire";
import { AddWire } from "./wireedits";

export function Buck({ content }: { content: BuckSheet }): JSX.Element | null {
  const shown = useSignal<Shown>({
    skin: true,
    frame: true,
    rooms: false,
    boards: true,
    by: "layer",
    only: "all",
  });
  const { wires, choices } = content;
  const frame = useFrame<Rods>("/api/frame/buck", content, wires.length > 0);
  const skin = useFrame<Regions>("/api/frame/skin", content, wires.length > 0);
  if (wires.length === 0) return null;
  return (
    <>
      <Space
        label="The buck in space: wires, frame and posts"
        of={[frame, skin, shown.value, picked.value, content]}
        parts={() => buckParts(content, frame, shown.value.skin ? skin : null, shown.value)}
        onPick={pick}
        said={about(content) ?? "Pick a wire, a post or a tube, here or in the tables."}
        section
      />
      <What content={content} shown={shown} />
      <WireSheet content={content} />
      <Wires wires={wires} />
      <AddWire content={content} />
      <Standing content={content} />
      <Spacing content={content} />
      <FrameSheet content={content} />
      <Stock content={content} />
      <StationBuck content={content} />
      {choices && (
        <section class="part">
          <h2>Rod and sheet</h2>
          <Chosen choices={choices} group="rod" />
        </section>
      )}
    </>
  );
}

function What({ content, shown }: { content: BuckSheet; shown: Signal<Shown> }): JSX.Element {
  const set = (change: Partial<Shown>): void => {
    shown.value = { ...shown.value, ...change };
  };
  const { wires, members = [] } = content;
  const numbers = (of: (row: WireRow) => number): number[] =>
    [...new Set(wires.map(of))].sort((a, b) => a - b);
  const stages = numbers((row) => row.stage).map((n): [Only, string] => [`stage ${n}`, `stage ${n}`]);
  const layers = numbers((row) => row.layer).map((n): [Only, string] => [
    `layer ${n}`,
    `layer ${n}`,
  ]);
  const options: [Only, string][] = [["all", "all"], ["to make", "to make"], ...stages, ...layers];
  const switches: [keyof Shown, string, boolean][] = [
    ["skin", "Show the skin over it", true],
    ["frame", "Frame and posts", members.length > 0],
    ["rooms", "Wheels and people", (content.frame ?? null) !== null],
    ["boards", "Boards", (content.boards ?? null) !== null],
  ];
  return (
    <>
      <ul class="colour-key" aria-label="Colours of the wires and tubes">
        {keyOf(wires, shown.value.by).map(([words, colour]) => (
          <Swatch key={words} words={words} colour={colour} />
        ))}
        {members.length > 0 && <Swatch words="frame, welded" colour={tube()} />}
        {members.some((row) => row.bolted) && <Swatch words="frame, bolted" colour={bolted()} />}
      </ul>
      <div class="tools">
        <Choice<By>
          head="Colour wires by"
          value={shown.value.by}
          options={[
            ["layer", "layer"],
            ["stage", "stage"],
            ["state", "what stands"],
          ]}
          choose={(by) => set({ by })}
        />
        <Choice<Only>
          head="Show wires"
          value={shown.value.only}
          options={options}
          choose={(only) => set({ only })}
        />
      </div>
      <div class="tools switches-row">
        {switches
          .filter(([, , there]) => there)
          .map(([key, words]) => (
            <label class="switch" key={key}>
              <input
                type="checkbox"
                checked={Boolean(shown.value[key])}
                onChange={(event) => set({ [key]: event.currentTarget.checked })}
              />
              <span>{words}</span>
            </label>
          ))}
      </div>
    </>
  );
}

function Swatch({ words, colour }: { words: string; colour: number }): JSX.Element {
  return (
    <li>
      <svg viewBox="0 0 24 12" aria-hidden="true">
        <rect width="24" height="12" fill={hex(colour)} />
      </svg>
      {words}
    </li>
  );
}

function Wires({ wires }: { wires: WireRow[] }): JSX.Element {
  const judged = wires.some((row) => row.verdict && !["new", "right"].includes(row.verdict));
  return (
    <div class="part">
      <Table
        caption="Wires"
        rows={wires}
        name={(row) => row.name}
        head="Wire"
        columns={[
          { head: "built", cell: (row) => <Tick row={row} /> },
          { head: "cut to", cell: (row) => <Length mm={row.cut_length} /> },
          { head: "how", words: true, cell: (row) => WAY_WORDS[row.way] },
          { head: "form to", cell: (row) => bending(row) },
          ...(judged
            ? [
                {
                  head: "after the change",
                  words: true,
                  cell: (row: WireRow) => (row.verdict ? VERDICTS[row.verdict] : ""),
                },
              ]
            : []),
          { head: "layer", cell: (row) => row.layer },
          { head: "stage", cell: (row) => row.stage },
          { head: "tacks", cell: (row) => row.tacks },
          { head: "mass", cell: (row) => <Mass kg={row.mass} /> },
          ...(wires.some((row) => along(row) !== "")
            ? [{ head: "follows", words: true, cell: (row: WireRow) => row.line }]
            : []),
        ]}
      />
    </div>
  );
}

const WAY_WORDS = { bent: "bend it", sprung: "spring it in", straight: "leave it straight" };

function bending(row: WireRow): JSX.Element {
  if (row.way === "sprung") return <>sprung</>;
  return row.form_radius > 0 ? <Length mm={row.form_radius} /> : <>straight</>;
}

const along = (wire: WireRow): string =>
  wire.name.startsWith(wire.line) ? "" : `, along ${wire.line}`;

function about(content: BuckSheet): string | null {
  const wire = content.wires.find((row) => row.name === picked.value);
  const units = system.value;
  if (wire) {
    const bend =
      wire.way === "sprung" ? "sprung into place" : `form to ${formatLength(wire.form_radius, units)}`;
    return `${wire.name}${along(wire)}: cut to ${formatLength(wire.cut_length, units)}, ${bend}, ${wire.tacks} tacks`;
  }
  const straight = [...(content.members ?? []), ...(content.posts ?? [])];
  const part = straight.find((row) => row.name === picked.value);
  if (part) return `${part.name}: cut to ${formatLength(part.cut_length, units)}`;
  const board = content.boards?.boards.find((row) => row.name === picked.value);
  return board ? `${board.name}: ${board.kind} at ${formatLength(board.at, units)}` : null;
}
