// Fields that the shop rolls or folds, and regions that are to be made exactly so.

import type { JSX } from "preact";
import { Table } from "../parts/table";
import { TypedText } from "../parts/typed";
import { Area, Fine } from "../parts/words";
import { system } from "../state";
import type { RolledRow, SkinSheet } from "../types";
import { formatLength } from "../units";

interface Row extends RolledRow {
  name: string;
}

/** The straight lines of all rolled fields, as pairs of places. */
export const rulingsOf = (content: SkinSheet): number[] =>
  content.regions.flatMap((region) =>
    (region.rolled ?? []).flatMap((field) => field.rulings.flatMap((ends) => ends.flat())),
  );

export function Rolled({ content }: { content: SkinSheet }): JSX.Element | null {
  const rows = content.regions
    .filter((region) => region.side !== "right")
    .flatMap((region) =>
      (region.rolled ?? []).map((field, k): Row => ({ ...field, name: `${region.name} ${k + 1}` })),
    );
  const asked = Object.entries(content.to_roll ?? {});
  if (rows.length === 0 && asked.length === 0) return null;
  return (
    <section class="part">
      <h2>Flat and rolled</h2>
      {rows.length === 0 ? (
        <p class="quiet">No field is flat, or bent in one direction only.</p>
      ) : (
        <Table
          caption="Fields to cut flat, roll or fold"
          still
          rows={rows}
          name={(row) => row.name}
          head="Field"
          columns={[
            { head: "between", words: true, cell: (row) => row.lines.join(", ") },
            { head: "what it is", words: true, cell: (row) => row.words },
            { head: "area", cell: (row) => <Area mm2={row.area} /> },
            { head: "off by at most", cell: (row) => <Fine mm={row.off_most} /> },
            { head: "made so", words: true, cell: (row) => (row.exact ? "exactly" : "") },
          ]}
        />
      )}
      {asked.length > 0 && (
        <details class="edits">
          <summary>Make a region exactly flat or rolled</summary>
          <p class="quiet">
            Type how far it may move for that. Empty leaves it as the lines have it. Its neighbours stay
            joined to it.
          </p>
          <div class="typed-list">
            {asked.map(([name, near]) => (
              <TypedText
                key={name}
                label={name}
                now={near > 0 ? formatLength(near, system.value) : ""}
                send={(length) => ({ what: "roll region", name, length })}
              />
            ))}
          </div>
        </details>
      )}
    </section>
  );
}
