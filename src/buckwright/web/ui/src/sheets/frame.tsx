// The inner frame: what it keeps clear of, how it comes out, who lifts it, its members and posts.

import type { JSX } from "preact";
import { Table } from "../parts/table";
import { TypedText } from "../parts/typed";
import { Fine, Length, Mass } from "../parts/words";
import { system } from "../state";
import type { BuckSheet, FrameFacts, StraightRow } from "../types";
import { formatFine, formatLength, formatMass, inUnits } from "../units";
import { Chosen, ChosenWays } from "./chosen";

export function FrameSheet({ content }: { content: BuckSheet }): JSX.Element {
  const { frame, members = [], posts = [], choices } = content;
  const bolted = members.filter((row) => row.bolted).length;
  return (
    <section class="part">
      <h2>The frame</h2>
      {frame && <Facts frame={frame} content={content} />}
      {choices && (
        <>
          <ChosenWays choices={choices} />
          <details class="edits">
            <summary>Change sizes and clearances of the frame</summary>
            <TypedText
              label="stands between stations (empty: no frame)"
              now={
                choices.frame_x[1] > choices.frame_x[0]
                  ? choices.frame_x.map((mm) => formatLength(mm, system.value)).join(", ")
                  : ""
              }
              send={(text) => ({ what: "frame stations", text })}
            />
            <Chosen choices={choices} group="frame" />
          </details>
        </>
      )}
      {bolted > 0 && (
        <p>
          <b>{bolted}</b> of {members.length} members are bolted, not welded: they come out while
          seats are tried.
        </p>
      )}
      <Straight caption="Frame" head="Tube" rows={members} />
      <div class="part">
        <Straight caption="Posts" head="Post" rows={posts} />
      </div>
    </section>
  );
}

function Facts({ frame, content }: { frame: FrameFacts; content: BuckSheet }): JSX.Element {
  const units = system.value;
  const { rooms, way_out: way } = frame;
  const kept: [string, number | null][] = [
    ["skin", rooms.skin],
    ["wires", rooms.wires],
    ["wheels", rooms.wheels],
    ["people", rooms.people],
  ];
  const at = content.centre;
  return (
    <>
      <dl class="facts counts">
        {kept.map(
          ([what, mm]) =>
            mm !== null && (
              <div key={what}>
                <dt>clear of the {what}</dt>
                <dd>
                  <Fine mm={mm} />
                </dd>
              </div>
            ),
        )}
        <div>
          <dt>frame alone</dt>
          <dd>
            <Mass kg={frame.members_mass} />
          </dd>
        </div>
        <div>
          <dt>whole buck</dt>
          <dd>
            <Mass kg={content.mass ?? 0} />
          </dd>
        </div>
      </dl>
      {at && (
        <p>
          Its centre of gravity is at station <b>{formatLength(at[0], units)}</b>, level{" "}
          <b>{formatLength(at[2], units)}</b>, <b>{formatFine(Math.abs(at[1]), units)}</b> to the{" "}
          {at[1] < 0 ? "left" : "right"} of the middle
          {frame.tips_at_deg > 0 && (
            <>
              ; it falls over on a slope of <b>{frame.tips_at_deg.toFixed(0)}°</b>
            </>
          )}
          .
        </p>
      )}
      {way && (
        <p class={way.free ? "verdict" : "verdict stale"}>
          <strong>
            {way.free ? "It comes out in one piece: " : "It does not come out in one piece: "}
          </strong>
          {inUnits(way.way, units)}
          {way.least_gap > 0 && `, ${formatFine(way.least_gap, units)} from the metal where it is nearest`}.
          {way.wires_to_cut.length > 0 && ` Take out first: ${way.wires_to_cut.join(", ")}.`}
          {way.blocked_by.length > 0 && ` In the way: ${way.blocked_by.join(", ")}.`}
          {way.pieces.length > 0 &&
            ` Bolted apart at the rings: ${way.pieces.map(([bay, how]) => `${bay} ${how}`).join("; ")}.`}
        </p>
      )}
      {frame.lifts.map((lift) => (
        <p key={lift.what} class={lift.people > 0 ? "verdict" : "verdict stale"}>
          <strong>
            {lift.what}, {formatMass(lift.mass, units)}:{" "}
            {lift.people > 0
              ? `${lift.people} ${lift.people === 1 ? "person lifts" : "people lift"} it.`
              : "not by hand: use a hoist."}
          </strong>{" "}
          <span class="quiet">{lift.rule}.</span>
        </p>
      ))}
      <p class="quiet">
        {frame.stock}, {frame.feet.length} {frame.feet[0]?.kind === "castor" ? "castors" : "feet"}
        {frame.feet.length > 0 &&
          `, each for ${formatMass(Math.max(...frame.feet.map((foot) => foot.load)), units)}`}
        ; lowest metal {formatLength(frame.sill_height, units)} above the floor
        {frame.raised > 0.5 && `, raised by ${formatLength(frame.raised, units)}`}.
        {frame.people_source && ` People: ${frame.people_source.replace(/\.$/, "")}.`}
        {frame.unbraced.length > 0 && ` Without a diagonal: ${frame.unbraced.join(", ")}.`}
      </p>
    </>
  );
}

interface StraightProps {
  caption: string;
  head: string;
  rows: StraightRow[];
}

function Straight({ caption, head, rows }: StraightProps): JSX.Element {
  const column = { words: true };
  return (
    <Table
      caption={caption}
      rows={rows}
      name={(row) => row.name}
      head={head}
      columns={[
        ...(rows.some((row) => row.wire)
          ? [
              { ...column, head: "to wire", cell: (row: StraightRow) => row.wire },
              { ...column, head: "from", cell: (row: StraightRow) => row.member },
            ]
          : []),
        { head: "cut to", cell: (row) => <Length mm={row.cut_length} /> },
        ...(rows.some((row) => row.mitres?.some((angle) => angle > 0.05))
          ? [{ head: "saw at", cell: (row: StraightRow) => saw(row) }]
          : []),
        ...(rows.some((row) => row.bolted)
          ? [{ ...column, head: "joint", cell: (row: StraightRow) => (row.bolted ? "bolt" : "weld") }]
          : []),
        { head: "mass", cell: (row) => <Mass kg={row.mass} /> },
      ]}
    />
  );
}

function saw(row: StraightRow): string {
  const [start, end] = row.mitres ?? [0, 0];
  if (Math.abs(start) < 0.05 && Math.abs(end) < 0.05) return "square";
  return `${start.toFixed(1)}°, ${end.toFixed(1)}°`;
}
