// Soft spots: where a hand would feel the skin give.

import type { JSX } from "preact";
import type { Visit } from "../parts/space";
import { Table } from "../parts/table";
import { Fine, Length } from "../parts/words";
import type { CrownLimits, SpotRow } from "../shape";
import { system } from "../state";
import { formatFine, formatLength, inUnits } from "../units";

/** mm between the eye and a spot that is gone to, for each mm of its length, and at least. */
const NEAR = 9;
const NEAREST = 1200;

const visits = new WeakMap<SpotRow, Visit>();

/** Where to stand to see it; the same place for the same spot. */
export function spotVisit(spot: SpotRow): Visit {
  const known = visits.get(spot);
  if (known) return known;
  const visit = { point: spot.point, out: spot.out, away: Math.max(NEAREST, NEAR * spot.length) };
  visits.set(spot, visit);
  return visit;
}

export function SoftSpots({ spots, limits }: { spots: SpotRow[]; limits: CrownLimits }): JSX.Element {
  const units = system.value;
  const rule =
    `dip deeper than ${formatFine(limits.least_dip, units)} and narrower than ` +
    `${formatLength(limits.widest_dip, units)}, or a place that turns inward so far, that no line asks for`;
  if (spots.length === 0) {
    return (
      <section class="part">
        <h2>No soft spots</h2>
        <p>There is no {rule}.</p>
      </section>
    );
  }
  return (
    <section class="part">
      <Table
        caption={spots.length === 1 ? "One soft spot" : `${spots.length} soft spots`}
        rows={spots}
        name={(spot) => spot.name}
        head="Where"
        columns={[
          { head: "deep", cell: (spot) => <Fine mm={spot.depth} /> },
          { head: "long", cell: (spot) => <Length mm={Math.round(spot.length)} /> },
          { head: "wide", cell: (spot) => <Length mm={Math.round(spot.width)} /> },
          { head: "what", words: true, cell: (spot) => spot.kind },
          { head: "to do", words: true, cell: (spot) => inUnits(spot.remedy, units) },
        ]}
      />
      <p>Each is a {rule}. Pick one to go to it.</p>
    </section>
  );
}
