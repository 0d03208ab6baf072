// What do we bend and weld?

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { rodBody, skinBody, straightBody } from "../engines/bodies";
import { plainMetal, solid } from "../engines/materials";
import type { Part } from "../engines/view3d";
import { useFrame } from "../parts/fetched";
import { Space } from "../parts/space";
import { Table } from "../parts/table";
import { Fine, Length, Mass } from "../parts/words";
import { dark, pick, picked, system } from "../state";
import type { Frame } from "../server";
import type { BuckSheet, StraightRow, WireRow } from "../types";
import { formatLength } from "../units";
import { Bars } from "./bars";
import { accent } from "./skin";

interface Rods {
  wires: { name: string; diameter: number; layer: number; closed: boolean }[];
  section: number;
}
type Regions = { name: string; side: string }[];

export function Buck({ content }: { content: BuckSheet }): JSX.Element | null {
  const skinned = useSignal(true);
  const { wires, members = [], posts = [], plans = [] } = content;
  const frame = useFrame<Rods>("/api/frame/buck", content, wires.length > 0);
  const skin = useFrame<Regions>("/api/frame/skin", content, wires.length > 0);
  if (wires.length === 0) return null;
  return (
    <>
      <Space
        label="The buck in space: wires, frame and posts"
        of={[frame, skin, skinned.value, picked.value]}
        parts={() => buckParts(content, frame, skinned.value ? skin : null)}
        onPick={pick}
        said={about(content) ?? "Pick a wire, a post or a tube, here or in the tables."}
        section
      />
      <div class="tools">
        <label class="switch">
          <input
            type="checkbox"
            checked={skinned.value}
            onChange={(event) => (skinned.value = event.currentTarget.checked)}
          />
          <span>Show the skin over it</span>
        </label>
      </div>
      <div class="part">
        <Table
          caption="Wires"
          rows={wires}
          name={(row) => row.name}
          head="Wire"
          columns={[
            ...(wires.some((row) => along(row) !== "")
              ? [{ head: "follows", words: true, cell: (row: WireRow) => row.line }]
              : []),
            { head: "layer", cell: (row) => row.layer + 1 },
            { head: "cut to", cell: (row) => <Length mm={row.cut_length} /> },
            { head: "set in", cell: (row) => <Fine mm={row.set_in} /> },
            { head: "tightest", cell: (row) => <Length mm={row.least_radius} /> },
            { head: "form to", cell: (row) => bending(row) },
            { head: "tacks", cell: (row) => row.tacks.length },
            { head: "mass", cell: (row) => <Mass kg={row.mass} /> },
          ]}
        />
      </div>
      <div class="part pair">
        <Straight caption="Frame" head="Tube" rows={members} />
        <Straight caption="Posts" head="Post" rows={posts} />
      </div>
      {plans.map((plan) => (
        <Bars key={plan.stock} plan={plan} />
      ))}
    </>
  );
}

function Straight(props: { caption: string; head: string; rows: StraightRow[] }): JSX.Element {
  return (
    <Table
      caption={props.caption}
      rows={props.rows}
      name={(row) => row.name}
      head={props.head}
      columns={[
        ...(props.rows.some((row) => row.wire)
          ? [{ head: "to wire", words: true, cell: (row: StraightRow) => row.wire }]
          : []),
        { head: "cut to", cell: (row) => <Length mm={row.cut_length} /> },
        { head: "mass", cell: (row) => <Mass kg={row.mass} /> },
      ]}
    />
  );
}

function bending(row: WireRow): JSX.Element {
  if (row.sprung) return <>sprung</>;
  return row.form_radius > 0 ? <Length mm={row.form_radius} /> : <>straight</>;
}

const along = (wire: WireRow): string =>
  wire.name.startsWith(wire.line) ? "" : `, along ${wire.line}`;

function about(content: BuckSheet): string | null {
  const wire = content.wires.find((row) => row.name === picked.value);
  const units = system.value;
  if (wire) {
    const bend = wire.sprung ? "sprung into place" : `form to ${formatLength(wire.form_radius, units)}`;
    return `${wire.name}${along(wire)}: cut to ${formatLength(wire.cut_length, units)}, ${bend}, ${wire.tacks.length} tacks`;
  }
  const straight = [...(content.members ?? []), ...(content.posts ?? [])];
  const part = straight.find((row) => row.name === picked.value);
  return part ? `${part.name}: cut to ${formatLength(part.cut_length, units)}` : null;
}

function buckParts(
  content: BuckSheet,
  frame: Frame<Rods> | null,
  skin: Frame<Regions> | null,
): Part[] {
  if (!frame) return [];
  const on = (name: string): boolean => picked.value === name;
  const colours = dark.value
    ? { first: 0xf0ece0, second: 0xa8a294, tube: 0x7f95a6, post: 0x8b8677 }
    : { first: 0x2a302e, second: 0x77705f, tube: 0x5f7687, post: 0x948b77 };
  const parts = frame.about.wires.map((wire, k): Part => {
    const thick = Math.max(wire.diameter, 11) * (on(wire.name) ? 1.9 : 1);
    const colour = wire.layer === 0 ? colours.first : colours.second;
    return {
      name: wire.name,
      body: rodBody(frame.floats(`w${k}`), thick, wire.closed),
      material: solid(on(wire.name) ? accent() : colour),
      cut: true,
    };
  });
  const straight = (
    ends: Float32Array,
    rows: StraightRow[],
    size: number,
    square: boolean,
    colour: number,
  ): Part[] =>
    rows.map((row, k) => ({
      name: row.name,
      body: straightBody(ends.slice(6 * k, 6 * k + 6), size * (on(row.name) ? 1.6 : 1), square),
      material: solid(on(row.name) ? accent() : colour),
      cut: true,
    }));
  parts.push(
    ...straight(frame.floats("members"), content.members ?? [], frame.about.section, true, colours.tube),
    ...straight(frame.floats("posts"), content.posts ?? [], 8, false, colours.post),
  );
  skin?.about.forEach((_, k) => {
    parts.push({
      name: null,
      body: skinBody(skin.floats(`v${k}`), skin.counts(`t${k}`)),
      material: plainMetal(dark.value, 0.2),
      cut: true,
    });
  });
  return parts;
}
