// How far left and right differ, pair by pair, and where; and single places in vehicle axes.

import type { JSX } from "preact";
import { Table } from "../parts/table";
import { Fine, Length } from "../parts/words";
import { system } from "../state";
import type { PlacedPointRow, SideRow } from "../types";
import { formatFine } from "../units";

export function SidesApart({ rows }: { rows: SideRow[] }): JSX.Element | null {
  if (rows.length === 0) return null;
  return (
    <div class="part">
      <Hairs rows={rows} />
      <Table
        caption="Left against right, at full size"
        rows={rows}
        name={(row) => row.left}
        head="Line"
        columns={[
          { head: "differ, rms", cell: (row) => <Fine mm={row.rms} /> },
          { head: "measuring explains", cell: (row) => <Fine mm={row.doubt} /> },
          { head: "at most", cell: (row) => <Fine mm={row.most} /> },
          { head: "at station", cell: (row) => <Length mm={row.at[0]} /> },
        ]}
      />
    </div>
  );
}

export function MarkedPoints({ rows }: { rows: PlacedPointRow[] }): JSX.Element | null {
  if (rows.length === 0) return null;
  return (
    <div class="part">
      <Table
        caption="Marked points, at full size"
        rows={rows}
        name={(row) => row.name}
        head="Point"
        columns={[
          { head: "station", cell: (row) => <Length mm={row.point[0]} /> },
          { head: "to the right", cell: (row) => <Length mm={row.point[1]} /> },
          { head: "height", cell: (row) => <Length mm={row.point[2]} /> },
          { head: "radius", cell: (row) => (row.radius > 0 ? <Length mm={row.radius} /> : "–") },
          { head: "good to", cell: (row) => <Fine mm={row.sigma} /> },
        ]}
      />
    </div>
  );
}

// The left lines from the side; a hair stands on each place, as long as the sides differ there.
function Hairs({ rows }: { rows: SideRow[] }): JSX.Element {
  const every = rows.flatMap((row) => row.hairs);
  const x = every.map((hair) => hair[0]);
  const z = every.map((hair) => hair[1]);
  const [left, right] = [Math.min(...x), Math.max(...x)];
  const [low, high] = [Math.min(...z), Math.max(...z)];
  const most = Math.max(...rows.map((row) => row.most), 1e-6);
  const tall = 0.16 * (high - low + 1);
  const margin = 0.03 * (right - left + 1);
  const box = [left - margin, -high - tall - margin, right - left + 2 * margin, high - low + tall + 2 * margin];
  const thin = 0.0016 * (right - left + 1);
  return (
    <figure class="view">
      <svg
        viewBox={box.join(" ")}
        role="img"
        aria-label={`Left lines from the side, with hairs as long as left and right differ, ${formatFine(most, system.value)} at most`}
        class="hairs"
      >
        {rows.map((row) => (
          <g key={row.left} fill="none" stroke="currentColor" stroke-width={thin}>
            <path d={`M${row.hairs.map((hair) => `${hair[0]} ${-hair[1]}`).join("L")}`} />
            <path
              stroke-width={1.6 * thin}
              d={row.hairs
                .map((hair) => `M${hair[0]} ${-hair[1]}v${-(tall * hair[2]) / most}`)
                .join("")}
            />
          </g>
        ))}
      </svg>
      <p class="said">
        Each hair is as long as left and right differ there; the longest is{" "}
        <Fine mm={most} />.
      </p>
    </figure>
  );
}
