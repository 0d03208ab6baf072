// Where the views disagree: marks in all views, then the table, the worst first.

import type { JSX } from "preact";
import { badness, looked, sentence, visited } from "../parts/disagreeing";
import { Table } from "../parts/table";
import { Fine, Length } from "../parts/words";
import type { ViewRow } from "../types";
import type { Project } from "./views";

const RADIUS = [0, 4.5, 7] as const;

interface MarksProps {
  rows: ViewRow[];
  views: [string, Project][];
  unit: number;
}

export function Disagreements({ rows, views, unit }: MarksProps): JSX.Element {
  const marked = rows
    .map((row, number) => ({ row, number, bad: badness(row) }))
    .filter(({ number, bad }) => bad > 0 || number === looked.value);
  return (
    <g class="disagreements">
      {marked.map(({ row, number, bad }) =>
        views.map(([view, project]) => {
          const [x, y] = project(row.point);
          const on = number === looked.value;
          return (
            <g key={view + number}>
              <circle
                class={`disagrees ${bad === 2 ? "wrong" : "doubtful"}`}
                cx={x}
                cy={y}
                r={Math.max(RADIUS[bad], 4.5) * unit}
                onClick={() => (looked.value = number)}
              >
                <title>{sentence(row)}</title>
              </circle>
              {on && <circle class="looked-at" cx={x} cy={y} r={15 * unit} />}
            </g>
          );
        }),
      )}
    </g>
  );
}

function look(number: number, row: ViewRow): void {
  looked.value = number;
  visited.value = { ...row };
  document.querySelector("figure.view")?.scrollIntoView({ block: "nearest" });
}

export function ViewsAgree({ rows }: { rows: ViewRow[] }): JSX.Element | null {
  if (!rows.length) return null;
  const numbered = rows.map((row, number) => ({ ...row, number }));
  const wrong = rows.filter((row) => row.unlikely).length;
  return (
    <div class="part">
      <p>
        {wrong === 0
          ? "Everywhere two views speak of one place, they agree as well as the lines are known."
          : `At ${wrong} of ${rows.length} places the views are farther apart than measuring explains: filled marks in the picture.`}
      </p>
      {looked.value !== null && rows[looked.value] && (
        <p class="said" role="status">
          {sentence(rows[looked.value]!)}
        </p>
      )}
      <Table
        caption="Where the views disagree, worst first"
        still
        rows={numbered}
        name={(row) => String(row.number)}
        label={(row) => row.lines.join(" and ")}
        head="Lines"
        columns={[
          {
            head: "place",
            words: true,
            cell: (row) => (
              <button type="button" aria-pressed={looked.value === row.number} onClick={() => look(row.number, row)}>
                Show
              </button>
            ),
          },
          { head: "apart", cell: (row) => <Fine mm={row.by} /> },
          { head: "good to", cell: (row) => <Fine mm={row.doubt} /> },
          { head: "station", cell: (row) => <Length mm={row.point[0]} /> },
          { head: "in", words: true, cell: (row) => row.quantity },
          { head: "one says", words: true, cell: (row) => <Says row={row} place={0} /> },
          { head: "the other says", words: true, cell: (row) => <Says row={row} place={1} /> },
        ]}
      />
    </div>
  );
}

function Says({ row, place }: { row: ViewRow; place: 0 | 1 }): JSX.Element {
  return (
    <>
      <Length mm={row.says[place]} /> ({row.views[place]})
    </>
  );
}
