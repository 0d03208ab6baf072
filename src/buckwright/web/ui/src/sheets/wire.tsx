// One wire's sheet: how to cut it, bend it and hold it, and its outline.

import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { Drawn } from "../parts/drawn";
import { Findings } from "../parts/findings";
import { pathOf } from "../parts/flat";
import { Table } from "../parts/table";
import { Length } from "../parts/words";
import { attempt, job, picked, system } from "../state";
import { getJson } from "../server";
import type { BuckSheet, Point2, RodPiece, WireContent, WireRow } from "../types";
import { formatFine, formatLength, inUnits } from "../units";
import { Built } from "./standing";
import { WireEdits } from "./wireedits";

const PAPERS = ["A4", "A3", "Letter"];

export function WireSheet({ content }: { content: BuckSheet }): JSX.Element {
  const place = content.wires.findIndex((row) => row.name === picked.value);
  const row = content.wires[place];
  const told = useWire(place, content);
  if (!row) {
    return (
      <section class="part">
        <h2>One wire</h2>
        <p class="quiet">Pick a wire above, or in the list below: its sheet comes here.</p>
      </section>
    );
  }
  return (
    <section class="part wire-sheet" aria-label={`Sheet of wire ${row.name}`}>
      <h2>{row.name}</h2>
      <div class="big">
        <p class="size">
          <span>cut to</span> <b>{formatLength(row.cut_length, system.value)}</b>
        </p>
        <p>
          {inUnits(row.words || WAYS[row.way], system.value)} <Where row={row} />
        </p>
      </div>
      <Built row={row} change={(content.changes ?? []).find((c) => c.wire === row.name)} />
      {told && told.name === row.name && <Told told={told} row={row} place={place} />}
      <WireEdits row={row} content={content} />
    </section>
  );
}

const WAYS = { straight: "Leave it straight.", sprung: "Spring it into place.", bent: "Bend it." };

function Where({ row }: { row: WireRow }): JSX.Element {
  return (
    <span class="quiet">
      {row.line === row.name ? "" : `Along ${row.line}. `}Layer {row.layer}, stage {row.stage},
      axis {formatFine(row.set_in, system.value)} under the outside of the skin.
    </span>
  );
}

function useWire(place: number, content: unknown): WireContent | null {
  const [told, setTold] = useState<WireContent | null>(null);
  useEffect(() => {
    let wanted = place >= 0;
    if (wanted) {
      void attempt(() => getJson<WireContent>(`/api/wire/${place}`)).then((got) => {
        if (wanted) setTold(got);
      });
    } else setTold(null);
    return () => {
      wanted = false;
    };
  }, [place, content, job.value?.number]);
  return told;
}

interface ToldProps {
  told: WireContent;
  row: WireRow;
  place: number;
}

function Told({ told, row, place }: ToldProps): JSX.Element {
  const units = system.value;
  const bending = told.bending;
  const arcs = bending?.way === "bent" ? bending.pieces : [];
  return (
    <>
      {told.drawing.views.map((view) => (
        <Outline key={String(view.edge)} told={told} row={row} view={view} />
      ))}
      <p class="tools">
        <span>On paper at full size:</span>
        {PAPERS.map((paper) => (
          <a class="file" key={paper} href={`/api/wire/${place}.pdf?paper=${paper}`} download>
            {paper} tiles (PDF)
          </a>
        ))}
      </p>
      {told.parts.length > 1 && (
        <p class="verdict">
          <strong>In {told.parts.length} parts:</strong>{" "}
          {told.parts.map((part) => formatLength(part, units)).join(", ")}, butted at{" "}
          {told.splices.map((splice) => formatLength(splice.at, units)).join(", ")}, each with a stub
          of {formatLength(told.splices[0]?.stub_length ?? 0, units)} inside it.
        </p>
      )}
      <div class="pair">
        {arcs.length > 0 && (
          <Table
            caption="Bend table"
            still
            rows={arcs.map((piece, k) => ({ ...piece, k }))}
            name={(piece) => String(piece.k + 1)}
            head="no."
            columns={[
              { head: "from", cell: (piece) => <Length mm={piece.start} /> },
              { head: "length", cell: (piece) => <Length mm={piece.length} /> },
              { head: "radius", cell: (piece) => arc(piece, <Length mm={piece.radius} />) },
              { head: "roll first", words: true, cell: (piece) => (piece.radius ? piece.roll : "") },
              { head: "bend to R", cell: (piece) => arc(piece, <Length mm={piece.form_radius} />) },
              { head: "bend by", cell: (piece) => arc(piece, `${piece.form_turn_deg.toFixed(1)}°`) },
            ]}
          />
        )}
        <Marks told={told} />
      </div>
      {bending && bending.pushes.length > 0 && (
        <div class="part">
        <Table
          caption="How hard it pushes where it is held"
          still
          rows={bending.pushes.map((push, k) => ({ ...push, k }))}
          name={(push) => `${push.k + 1}`}
          label={(push) => formatLength(push.at, units)}
          head="at"
          columns={[
            { head: "held by", words: true, cell: (push) => push.held_by.join(", ") },
            { head: "pushes", cell: (push) => `${push.force.toFixed(0)} N` },
            { head: "which way", words: true, cell: (push) => push.words },
          ]}
        />
        </div>
      )}
      {bending && arcs.length > 0 && (
        <p class="quiet">
          Bent by the table it lies within {formatFine(bending.off, units)}. The bender makes{" "}
          {formatLength(bending.bender_radius, units)} at least; arcs gentler than{" "}
          {formatLength(bending.elastic_radius, units)} need no bend where tacks hold them.
        </p>
      )}
      {told.doubts.length > 0 && <Findings findings={told.doubts} />}
      <details>
        <summary>Before you cut: cautions</summary>
        <ul>
          {told.cautions.map((words) => (
            <li key={words}>{words}</li>
          ))}
        </ul>
      </details>
    </>
  );
}

function arc(piece: RodPiece, words: JSX.Element | string): JSX.Element | string {
  return piece.radius ? words : "straight";
}

function Marks({ told }: { told: WireContent }): JSX.Element {
  return (
    <Table
      caption="Marks along the rod, from end 0"
      still
      rows={told.marks.map((mark, k) => ({ ...mark, k }))}
      name={(mark) => String(mark.k + 1)}
      head="no."
      columns={[
        { head: "at", cell: (mark) => <Length mm={mark.at} /> },
        { head: "meets", words: true, cell: (mark) => mark.to },
        { head: "which is", words: true, cell: (mark) => `a ${mark.kind}` },
      ]}
    />
  );
}

interface OutlineProps {
  told: WireContent;
  row: WireRow;
  view: WireContent["drawing"]["views"][number];
}

function Outline({ told, row, view }: OutlineProps): JSX.Element {
  const points = view.points.map(turned);
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  const [left, top] = [Math.min(...xs), Math.min(...ys)];
  const wide = Math.max(Math.max(...xs) - left, 1);
  const high = Math.max(Math.max(...ys) - top, 1);
  const tall = Math.max(high, 0.07 * wide);
  const margin = 0.07 * Math.max(wide, tall);
  // For the names of the ends, which stand beyond an open rod and within a closed one.
  const room = row.closed ? 0 : 0.03 * wide;
  const box = {
    x: left - margin,
    y: top - (tall - high) / 2 - margin - room,
    width: wide + 2 * margin,
    height: tall + 2 * (margin + room),
  };
  const middle: Point2 = [left + wide / 2, top + high / 2];
  const [first, last] = [points[0]!, points[points.length - 1]!];
  const units = system.value;
  const off = formatFine(told.drawing.residual, units);
  const flat =
    told.drawing.views.length > 1 ? `it leaves the paper by up to ${off}` : `flat within ${off}`;
  const said = view.edge
    ? `${row.name} seen along the paper: it leaves it by up to ${off}`
    : `${row.name} on paper, seen from ${told.drawing.seen_from}; ${flat}`;
  return (
    <figure class="view">
      <Drawn box={box} label={said} kind="rod-paper">
        {(unit) => (
          <>
            <path class="rod" d={pathOf(points)} />
            {view.marks.map(turned).map((at, k) => {
              const away = outward(at, middle, 15 * unit, high < 0.35 * wide);
              return (
                <g key={k} class={told.marks[k]?.kind === "post" ? "rod-mark post" : "rod-mark"}>
                  <circle cx={at[0]} cy={at[1]} r={4.5 * unit} />
                  {!view.edge && apart(view.marks, k, 17 * unit) && (
                    <text x={away[0]} y={away[1] + 5 * unit} text-anchor="middle">
                      {k + 1}
                    </text>
                  )}
                </g>
              );
            })}
            {!view.edge && (
              <>
                <End
                  at={first}
                  middle={middle}
                  unit={unit}
                  words={`0: ${told.drawing.ends[0]}`}
                  within={row.closed}
                />
                <End at={last} middle={middle} unit={unit} words={told.drawing.ends[1]} />
              </>
            )}
          </>
        )}
      </Drawn>
      <figcaption class="said">{said}.</figcaption>
    </figure>
  );
}

interface EndProps {
  at: Point2;
  middle: Point2;
  unit: number;
  words: string;
  within?: boolean;
}

function End({ at, middle, unit, words, within = false }: EndProps): JSX.Element | null {
  if (!words) return null;
  const right = at[0] > middle[0];
  const below = at[1] > middle[1] !== within;
  return (
    <text
      class="view-name"
      x={at[0] + (right ? -8 : 8) * unit}
      y={at[1] + (below ? 36 : -28) * unit}
      text-anchor={right ? "end" : "start"}
    >
      {words}
    </text>
  );
}

const turned = ([x, y]: Point2): Point2 => [x, -y];

function outward(at: Point2, middle: Point2, by: number, flat: boolean): Point2 {
  // Of a rod nearly straight on the paper the numbers stand above it.
  if (flat) return [at[0], at[1] - by];
  const away: Point2 = [at[0] - middle[0], at[1] - middle[1]];
  const size = Math.max(Math.hypot(...away), 1e-6);
  return [at[0] + (by * away[0]) / size, at[1] + (by * away[1]) / size];
}

/** Whether there is room for the mark's number: marks before it are farther than `room`. */
function apart(marks: Point2[], k: number, room: number): boolean {
  const here = marks[k]!;
  return marks.slice(0, k).every((mark) => Math.hypot(mark[0] - here[0], mark[1] - here[1]) > room);
}
