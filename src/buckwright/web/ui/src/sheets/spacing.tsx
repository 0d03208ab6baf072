// Two rules of spacing, what they find between neighbouring wires, and the wires they propose.

import type { JSX } from "preact";
import { Table } from "../parts/table";
import { Fine, Length } from "../parts/words";
import { change, system } from "../state";
import type { BayRow, BuckSheet, ProposedRow } from "../types";
import { formatFine, inUnits } from "../units";
import { Chosen } from "./chosen";

export function Spacing({ content }: { content: BuckSheet }): JSX.Element | null {
  const { bays = [], proposed = [], fields, choices } = content;
  if (!fields || !choices || bays.length + proposed.length === 0) return null;
  const units = system.value;
  const loose = bays.filter((bay) => !bay.shape_held).length;
  const weak = bays.filter((bay) => !bay.stiff).length;
  return (
    <section class="part">
      <h2>Are the wires close enough?</h2>
      <div class="pair rules">
        <Rule
          count={loose}
          of={bays.length}
          words={`bays leave the skin unheld: it stands more than ${formatFine(fields.sagitta_limit, units)} off the straight from wire to wire (s = L²/8R).`}
        />
        <Rule
          count={weak}
          of={bays.length}
          words={`bays are soft: a rod across them gives more than ${formatFine(fields.push_limit, units)} under a hand that pushes with ${fields.hand_push} N.`}
        />
      </div>
      <Proposals rows={proposed} asked={new Set((content.asked ?? []).map((wire) => wire.name))} />
      <Table
        caption="Bays between neighbouring wires, worst first"
        still
        rows={bays.map((bay, k) => ({ ...bay, k }))}
        name={(bay) => String(bay.k)}
        label={(bay) => `${bay.wires[0]} – ${bay.wires[1]}`}
        head="Between"
        columns={[
          { head: "width", cell: (bay) => <Length mm={bay.width} /> },
          { head: "off straight", cell: (bay) => <Fine mm={bay.sagitta} /> },
          { head: "held across", cell: (bay) => judged(bay.shape_held, bay.held_sagitta) },
          { head: "rod gives", cell: (bay) => judged(bay.stiff, bay.deflection) },
          { head: "on", words: true, cell: (bay) => bay.region },
        ]}
      />
      <details>
        <summary>Change the two rules</summary>
        <Chosen choices={choices} group="rules" />
      </details>
    </section>
  );
}

function judged(good: boolean, mm: number): JSX.Element {
  return good ? (
    <Fine mm={mm} />
  ) : (
    <strong class="over">
      <Fine mm={mm} />
    </strong>
  );
}

function Rule(props: { count: number; of: number; words: string }): JSX.Element {
  return (
    <p class={props.count > 0 ? "rule over" : "rule"}>
      <b>
        {props.count} of {props.of}
      </b>{" "}
      {props.words}
    </p>
  );
}

function Proposals({ rows, asked }: { rows: ProposedRow[]; asked: Set<string> }): JSX.Element {
  const units = system.value;
  const left = rows.filter((row) => !asked.has(row.name));
  if (left.length === 0) {
    return (
      <p class="quiet">
        {rows.length === 0
          ? "No wire is proposed: lines and rules are met."
          : "All that was proposed is taken over. Work it out again."}
      </p>
    );
  }
  return (
    <>
      <p class="tools">
        <button
          type="button"
          class="main"
          onClick={() => void change({ what: "accept wires", names: left.map((row) => row.name) })}
        >
          Take over all {left.length} proposed wires
        </button>
      </p>
      <ul class="wire-proposals">
        {left.map((row) => (
          <li key={row.name}>
            <div>
              <strong>{row.name}</strong>
              <span>{inUnits(row.reason, units)}</span>
              {row.after.length > 0 && (
                <span class="quiet">
                  With it the skin stands {formatFine(most(row.after, "held_sagitta"), units)} off
                  at most, and a rod gives {formatFine(most(row.after, "deflection"), units)}.
                </span>
              )}
            </div>
            <button
              type="button"
              aria-label={`Take over ${row.name}`}
              onClick={() => void change({ what: "accept wires", names: [row.name] })}
            >
              Take it over
            </button>
          </li>
        ))}
      </ul>
    </>
  );
}

const most = (bays: BayRow[], key: "held_sagitta" | "deflection"): number =>
  Math.max(...bays.map((bay) => bay[key]));
