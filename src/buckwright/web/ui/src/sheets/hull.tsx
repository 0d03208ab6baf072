// The hull of all outlines as an underlay, the measured lines beside it, and those that leave it.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { pairsBody, skinBody } from "../engines/bodies";
import { inked, seeThrough } from "../engines/materials";
import { Findings } from "../parts/findings";
import { Space } from "../parts/space";
import { Table } from "../parts/table";
import { Fine } from "../parts/words";
import { getJson } from "../server";
import { attempt, dark } from "../state";
import type { HullAnswer } from "./singletypes";
import { pairsOf } from "./tracingspace";

export function HullUnderlay(): JSX.Element {
  const hull = useSignal<HullAnswer | null>(null);
  const waiting = useSignal(false);
  return (
    <section class="part" data-hull={hull.value?.triangles?.length ?? 0}>
      <h2>Hull of the outlines</h2>
      <p>
        What all closed silhouettes together leave of space. The body lies inside it: an underlay, and a
        gross check of lines; no surface to build from.
      </p>
      <p>
        <button type="button" disabled={waiting.value} onClick={() => void work()}>
          {waiting.value ? "Carving" : "Carve the hull"}
        </button>
      </p>
      {hull.value?.why && <p class="stale">{hull.value.why}</p>}
      {hull.value?.vertices && <Shown hull={hull.value} />}
    </section>
  );

  async function work(): Promise<void> {
    waiting.value = true;
    hull.value = await attempt(() => getJson<HullAnswer>("/api/hull"));
    waiting.value = false;
  }
}

function Shown({ hull }: { hull: HullAnswer }): JSX.Element {
  const outside = hull.outside ?? [];
  const bad = new Set(outside.map((one) => one.line));
  const parts = () => [
    ...(hull.lines ?? []).map((line) => ({
      name: line.name,
      body: pairsBody(pairsOf(line.points, line.closed)),
      material: inked(bad.has(line.name) ? 0xd02818 : dark.value ? 0xf0ead8 : 0x1c1a16),
      lines: true,
    })),
    {
      name: null,
      body: skinBody(
        new Float32Array(hull.vertices!.flat()),
        new Uint32Array(hull.triangles!.flat()),
      ),
      material: seeThrough(dark.value ? 0x8a98a0 : 0x9aa6ad, 0.45),
    },
  ];
  return (
    <>
      <p>
        <strong>{((hull.volume ?? 0) / 1e6).toFixed(2)} litres</strong> by {hull.pictures?.length} outlines,
        in cells of <Fine mm={hull.cell ?? 0} />.{" "}
        {outside.length === 0 ? "No line leaves it." : `${outside.length} ${outside.length === 1 ? "line leaves" : "lines leave"} it.`}
      </p>
      <Space
        label="Hull of the outlines with the measured lines"
        parts={parts}
        of={[hull, dark.value]}
        onPick={() => undefined}
        said="Hull and lines, mm of the mat"
      />
      {outside.length > 0 && (
        <Table
          caption="Lines outside the hull, mm of the model"
          rows={outside}
          name={(row) => row.line}
          head="Line"
          columns={[
            { head: "outside by", cell: (row) => <Fine mm={row.amount} /> },
            { head: "at", cell: (row) => row.point.map((v) => v.toFixed(0)).join(", ") },
            { head: "by the outline in", words: true, cell: (row) => row.picture },
          ]}
        />
      )}
      {hull.findings && hull.findings.length > 0 && <Findings findings={hull.findings} />}
    </>
  );
}
