// Marks that two pieces of a drawing share: set side by side, and how far the pieces disagree there.

import { useSignal } from "@preact/signals";
import type { ComponentChildren, JSX } from "preact";
import { Field, Select } from "../parts/fields";
import { Table } from "../parts/table";
import { Fine } from "../parts/words";
import { change } from "../state";
import type { Point2 } from "../types";
import { ClickPhoto } from "./clickphoto";
import type { JoinedSheet, SingleView, ViewPiece } from "./singletypes";

const GRADES = { good: "agrees", fair: "a little off", bad: "off" };

export function SharedMarks({ view }: { view: SingleView }): JSX.Element {
  const shown = useSignal([0, 1]);
  const named = useSignal("");
  const names = [...new Set(view.pictures.flatMap((one) => one.marks.map((mark) => mark.name)))];
  const mark = named.value.trim() || fresh(names);
  const sides = shown.value.map((k) => view.pictures[k] ?? view.pictures[0]!);
  const has = (piece: ViewPiece): boolean => piece.marks.some((one) => one.name === mark);
  const waiting = sides.filter((piece) => !has(piece)).map((piece) => piece.name);
  return (
    <>
      <p>
        Tap the same place in both: a crossing of lines, the corner of a frame. Two hold the pieces together, a
        third shows a slip, and with four it is told which. Far apart is best.
      </p>
      <Field label="name of the mark" value={named.value || mark} type={(text) => (named.value = text)} />
      <p class="said" role="status">
        {waiting.length > 0 ? `Now tap ${mark} in ${waiting.join(" and ")}.` : `${mark} is set in both; a tap moves it.`}
      </p>
      <div class="two-pieces">
        {sides.map((piece, side) => (
          <figure class="view" key={side}>
            <Select
              label={side === 0 ? "one piece" : "the other"}
              options={view.pictures.map((one) => one.name)}
              value={piece.name}
              choose={(name) => look(side, view.pictures.findIndex((one) => one.name === name))}
            />
            <ClickPhoto
              label={`Piece ${piece.name}, for ${mark}`}
              of={piece.sha256}
              href={(most) => `/api/picture/${piece.sha256}?most=${most}`}
              size={piece.size}
              clicks={{}}
              set={(at) => void put(piece, at)}
              over={pieceMarks(piece, mark)}
            />
          </figure>
        ))}
      </div>
    </>
  );

  function look(side: number, k: number): void {
    const other = shown.value[1 - side]!;
    // The same piece twice says nothing: they change places.
    const next = k === other ? shown.value[side]! : other;
    shown.value = side === 0 ? [k, next] : [next, k];
  }

  async function put(piece: ViewPiece, at: Point2): Promise<void> {
    const px = at.map((c) => Math.round(10 * c) / 10);
    const others = sides.filter((one) => one !== piece);
    const done = others.every(has);
    const kept = await change({ what: "view mark", name: view.name, picture: piece.name, mark, px });
    // Set in both: the next tap is another mark.
    if (kept) named.value = done && !has(piece) ? "" : mark;
  }
}

function fresh(names: string[]): string {
  let number = 1;
  while (names.includes(`mark ${number}`)) number += 1;
  return `mark ${number}`;
}

function pieceMarks(piece: ViewPiece, now: string): (unit: number) => ComponentChildren {
  return (unit) =>
    piece.marks.map(({ name, px: [x, y] }) => (
      <g key={name} class={name === now ? "shared-mark now" : "shared-mark"}>
        <circle cx={x} cy={y} r={7 * unit} />
        <path d={`M${x - 12 * unit} ${y}h${24 * unit}M${x} ${y - 12 * unit}v${24 * unit}`} />
        <text x={x + 10 * unit} y={y - 8 * unit}>
          {name}
        </text>
      </g>
    ));
}

/** Every shared mark on the joined sheet, coloured by how far the pieces disagree there. */
export function sheetMarks(sheet: JoinedSheet): (unit: number) => ComponentChildren {
  return (unit) =>
    sheet.places.map(({ name, at: [x, y], grade, off }) => (
      <g key={name} class={`shared-mark ${grade}`}>
        <circle cx={x} cy={y} r={(grade === "bad" ? 11 : 7) * unit} />
        <text x={x + 10 * unit} y={y - 8 * unit}>
          {name} {Math.max(...off).toFixed(1)}
        </text>
      </g>
    ));
}

type Row = JoinedSheet["places"][number];

export function MarksTable({ view, sheet }: { view: SingleView; sheet: JoinedSheet }): JSX.Element {
  const told = (value: number): JSX.Element =>
    sheet.to_scale ? <Fine mm={value} /> : <>{value.toFixed(1)} px</>;
  const alone = view.pictures.flatMap((piece) =>
    piece.marks
      .filter((mark) => !sheet.places.some((place) => place.name === mark.name))
      .map((mark) => `${mark.name} (${piece.name})`),
  );
  return (
    <>
      <Table
        caption="Shared marks, the most suspicious first"
        still
        rows={sheet.places}
        name={(row: Row) => row.name}
        head="Mark"
        columns={[
          {
            head: "pieces disagree by",
            cell: (row: Row) => (
              <span class={`grade ${row.grade}`}>
                {told(Math.max(...row.off))}, {GRADES[row.grade]}
              </span>
            ),
          },
          { head: "without it the rest", cell: (row: Row) => (row.rest === null ? "–" : told(row.rest)) },
          { head: "in", words: true, cell: (row: Row) => row.pieces.join(", ") },
          {
            head: "take off",
            cell: (row: Row) => (
              <button
                type="button"
                aria-label={`Take ${row.name} off`}
                onClick={() => void change({ what: "view unmark", name: view.name, mark: row.name })}
              >
                Take off
              </button>
            ),
          },
        ]}
      />
      {alone.length > 0 && <p class="quiet">In one piece only, so that they do not count: {alone.join("; ")}.</p>}
    </>
  );
}
