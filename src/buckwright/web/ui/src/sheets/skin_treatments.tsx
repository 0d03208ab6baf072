// What is done to the skin: trims, turned edges, beads, louvres; where skins meet.

import type { JSX } from "preact";
import { Length } from "../parts/words";
import { change, system } from "../state";
import type { AskedTreatment, TreatmentRow } from "../treated";
import type { SkinSheet } from "../types";
import { inUnits } from "../units";
import { LouvreForm } from "./skin_louvres";
import { BeadForm, EdgeForm, TrimForm } from "./skin_treatments_forms";

const WHAT: Record<TreatmentRow["what"], string> = {
  meeting: "where skins meet:",
  trim: "trim of",
  edge: "edge of",
  bead: "bead on",
  louvres: "louvres on",
};

export function Treatments({ content }: { content: SkinSheet }): JSX.Element | null {
  const rows = content.treatments;
  if (!rows) return null;
  return (
    <section class="part treatments">
      <h2>Treatments</h2>
      {rows.length === 0 ? (
        <p>No skins cut each other; nothing is trimmed or turned, and there are no beads or louvres.</p>
      ) : (
        <ul class="treated" aria-label="Treatments of the skin">
          {rows.map((row) => (
            <li key={`${row.what} ${row.name} ${row.region}`}>
              <p>
                <strong>{row.name}</strong>
                <span class="quiet">
                  {" "}
                  {WHAT[row.what]} {row.region}
                </span>
                {row.length !== null && (
                  <>
                    , <Length mm={row.length} />
                  </>
                )}
                {row.step && (
                  <>
                    : <b>{row.step}</b>
                  </>
                )}
              </p>
              <p>{inUnits(row.words, system.value)}.</p>
            </li>
          ))}
        </ul>
      )}
      <Asked content={content} asked={content.asked_treatments ?? []} />
      <TrimForm content={content} />
      <EdgeForm content={content} />
      <BeadForm content={content} />
      <LouvreForm content={content} />
    </section>
  );
}

function Asked(props: { content: SkinSheet; asked: AskedTreatment[] }): JSX.Element | null {
  const { content, asked } = props;
  if (asked.length === 0) return null;
  return (
    <>
      <h3>Asked for</h3>
      <ul class="treated" aria-label="Treatments asked for">
        {asked.map((one) => (
          <li key={`${one.field} ${one.place}`}>
            <p class="tools">
              <span>{one.words}</span>
              <button
                type="button"
                aria-label={`Take back: ${one.words}`}
                onClick={() =>
                  void change({ what: "drop treatment", field: one.field, place: one.place })
                }
              >
                Take it back
              </button>
            </p>
            <ChangeForm content={content} one={one} />
          </li>
        ))}
      </ul>
    </>
  );
}

function ChangeForm({ content, one }: { content: SkinSheet; one: AskedTreatment }): JSX.Element {
  switch (one.field) {
    case "trims":
      return <TrimForm content={content} start={one} />;
    case "edge_treatments":
      return <EdgeForm content={content} start={one} />;
    case "beads":
      return <BeadForm content={content} start={one} />;
    case "louvres":
      return <LouvreForm content={content} start={one} />;
  }
}
