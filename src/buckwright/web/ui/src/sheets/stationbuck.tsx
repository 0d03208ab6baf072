// The station buck: the same body as sawn boards, where one is asked for.

import type { JSX } from "preact";
import { Table } from "../parts/table";
import { Choice } from "../parts/title";
import { TypedText } from "../parts/typed";
import { Fine, Length, Mass } from "../parts/words";
import { change, system } from "../state";
import type { BuckSheet } from "../types";
import { inUnits } from "../units";
import { listed, TypedLengths } from "./chosen";

export function StationBuck({ content }: { content: BuckSheet }): JSX.Element | null {
  const asked = content.choices?.boards ?? null;
  const made = content.boards ?? null;
  if (!content.choices) return null;
  return (
    <section class="part">
      <h2>Station buck of boards</h2>
      <label class="switch">
        <input
          type="checkbox"
          checked={asked !== null}
          onChange={(event) =>
            void change({ what: "station buck", on: event.currentTarget.checked })
          }
        />
        <span>Also draw the body as sawn boards that slot together</span>
      </label>
      {asked && (
        <div class="typed-list">
          <TypedLengths rows={asked.lengths} what="board length" />
          {(["stations", "buttocks", "levels"] as const).map((key) => (
            <TypedText
              key={key}
              label={`boards at ${key}`}
              now={listed(asked[key])}
              send={(text) => ({ what: "board places", key, text })}
            />
          ))}
          <div class="tools">
            <Choice<"square" | "bevel">
              head="Edges sawn"
              value={asked.edge}
              options={[
                ["square", "square"],
                ["bevel", "bevelled to the skin"],
              ]}
              choose={(value) => void change({ what: "board edge", value })}
            />
          </div>
        </div>
      )}
      {asked && !made && <p class="quiet">Work it out again to see the boards.</p>}
      {made && (
        <>
          <p>
            <b>{made.boards.length}</b> boards, <b><Mass kg={made.mass} /></b>; their edges stand off
            the metal by <b><Fine mm={made.gap_most} /></b> at most.
          </p>
          <Table
            caption="Boards"
            rows={made.boards}
            name={(row) => row.name}
            head="Board"
            columns={[
              { head: "kind", words: true, cell: (row) => row.kind },
              { head: "at", cell: (row) => <Length mm={row.at} /> },
              { head: "slots", cell: (row) => row.slots },
              { head: "mass", cell: (row) => <Mass kg={row.mass} /> },
              { head: "edge", words: true, cell: (row) => inUnits(row.words, system.value) },
            ]}
          />
          <ol>
            {made.assembly.map((words) => (
              <li key={words}>{inUnits(words, system.value)}</li>
            ))}
          </ol>
        </>
      )}
    </section>
  );
}
