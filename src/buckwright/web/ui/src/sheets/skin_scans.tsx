// Scanned parts that stand in the skin as they are.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { FileField, ToldOfIt, useBringing } from "../parts/bring";
import { Field, Select } from "../parts/fields";
import { takeScan } from "../server";
import { change, system } from "../state";
import type { ScanRow } from "../types";
import { formatLength } from "../units";

const UNITS = ["mm", "cm", "m", "in", "ft"];
const OUTWARDS = ["up", "left", "right", "front", "rear"];
const SIDES: Record<string, string> = {
  "stands for the whole part": "whole",
  "is the left part, the right one mirrors it": "left",
};

export function Scans({ scans }: { scans: ScanRow[] }): JSX.Element {
  return (
    <section class="part">
      <h2>Scanned parts in the skin</h2>
      {scans.length > 0 && (
        <ul>
          {scans.map((scan) => (
            <li key={scan.name}>
              <strong>{scan.name}</strong>, {scan.side === "left" ? "left and mirrored" : "whole"}, 1 unit of
              the {scan.kind} is {scan.unit} mm
              {scan.close_below > 0 &&
                `, gaps below ${formatLength(scan.close_below, system.value)} closed`}{" "}
              <button
                type="button"
                aria-label={`Leave ${scan.name} out`}
                onClick={() => void change({ what: "drop scan", name: scan.name })}
              >
                Leave it out
              </button>
            </li>
          ))}
        </ul>
      )}
      <NewScan />
    </section>
  );
}

function NewScan(): JSX.Element {
  const id = useId();
  const name = useSignal("");
  const units = useSignal("mm");
  const outward = useSignal("up");
  const side = useSignal(Object.keys(SIDES)[0]!);
  const gaps = useSignal("0 mm");
  const points = useSignal("");
  const on = useSignal("");
  const sigma = useSignal("1 mm");
  const { bring, told } = useBringing(
    "Looking at",
    (file) =>
      takeScan(file, {
        name: name.value,
        units: units.value,
        outward: outward.value,
        side: SIDES[side.value]!,
        close_below: gaps.value,
        points: points.value,
        on: on.value,
        sigma: sigma.value,
      }),
    () => (name.value = ""),
  );
  return (
    <details class="edits">
      <summary>Take a scanned part in</summary>
      <p class="quiet">
        The outer sheet alone, as STL, PLY or OBJ, in the axes of the vehicle; or its points alone, as PLY,
        XYZ or CSV. Stray points are left out and told. Its mesh is made even, its openings stay open. In other
        axes, three points or more bring it in, one a row: name = x y z in the scan {"->"} x y z in the vehicle,
        mm.
      </p>
      <div class="typed-list">
        <Field label="what it is called" value={name.value} type={(text) => (name.value = text)} />
        <Select label="its unit" options={UNITS} value={units.value} choose={(one) => (units.value = one)} />
        <Select
          label="its outside looks"
          options={OUTWARDS}
          value={outward.value}
          choose={(one) => (outward.value = one)}
        />
        <Select label="it" options={Object.keys(SIDES)} value={side.value} choose={(one) => (side.value = one)} />
        <Field
          label="gaps less far across are closed"
          value={gaps.value}
          type={(text) => (gaps.value = text)}
        />
        <p class="field">
          <label for={`${id}-points`}>points, if it is in other axes</label>
          <textarea
            id={`${id}-points`}
            rows={4}
            placeholder="door hinge = 12.1 33 4 -> 420 -655 601"
            value={points.value}
            onInput={(event) => (points.value = event.currentTarget.value)}
          />
        </p>
        <Field label="or the region to seat it on" value={on.value} type={(text) => (on.value = text)} />
        <Field label="those points are good to" value={sigma.value} type={(text) => (sigma.value = text)} />
        <FileField accept=".stl,.ply,.obj,.xyz,.csv,.txt,.asc" bring={bring} />
      </div>
      <ToldOfIt told={told} />
    </details>
  );
}
