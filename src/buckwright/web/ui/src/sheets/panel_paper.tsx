// The paper pattern: strips of stiff paper that gape or overlap where metal must move.

import type { JSX } from "preact";
import { Drawn } from "../parts/drawn";
import { pathOf } from "../parts/flat";
import { Table } from "../parts/table";
import { Area, Fine, Length, percent } from "../parts/words";
import { system } from "../state";
import type { PanelRow, PanelsSheet, PaperRow, Point2 } from "../types";
import { formatLength, inUnits } from "../units";

export function Paper({ content, panel }: { content: PanelsSheet; panel: PanelRow }): JSX.Element {
  const paper = content.papers.find((row) => row.panel === panel.name);
  if (!paper) return <p class="quiet">This panel has no paper pattern.</p>;
  const [whole, strips, missing, excess] = paper.areas;
  const joints = paper.joints.map((joint) => ({
    name: `${joint.strips[0]} and ${joint.strips[1]}`,
    ...ends(joint),
  }));
  return (
    <>
      <p>{inUnits(paper.words, system.value)}</p>
      <Strips paper={paper} />
      <p>
        Cut {paper.strips.length} strips of stiff paper, <Length mm={paper.width} /> wide. Lay strip
        0 over the middle of the panel, the others beside it by number, so that all butt at the short
        line across them, and let each lie flat along its length.
      </p>
      <dl class="facts">
        <div>
          <dt>The panel</dt>
          <dd>
            <Area mm2={whole} />
          </dd>
        </div>
        <div>
          <dt>The paper</dt>
          <dd>
            <Area mm2={strips} />
          </dd>
        </div>
        <div>
          <dt>Gaps, metal missing</dt>
          <dd>{percent(missing / whole, 2)}</dd>
        </div>
        <div>
          <dt>Overlaps, metal in excess</dt>
          <dd>{percent(-excess / whole, 2)}</dd>
        </div>
        <div>
          <dt>Not explained</dt>
          <dd>{percent(paper.unaccounted[0] / whole, 2)}</dd>
        </div>
      </dl>
      <Table
        caption="Between the strips, on the finished panel"
        still
        rows={joints}
        name={(row) => row.name}
        head="Strips"
        columns={[
          { head: "at one end", cell: (row) => <Fine mm={row.first} /> },
          { head: "least", cell: (row) => <Fine mm={row.least} /> },
          { head: "most", cell: (row) => <Fine mm={row.most} /> },
          { head: "at the other end", cell: (row) => <Fine mm={row.last} /> },
          {
            head: "so",
            words: true,
            cell: (row) =>
              row.most > -row.least
                ? "gapes: stretch the metal here"
                : "overlaps: shrink the metal here",
          },
        ]}
      />
      <p class="quiet">
        Positive: a gap, metal is missing. Negative: an overlap, metal is in excess. Every strip at
        full size is in the packet.
      </p>
    </>
  );
}

function ends(joint: PaperRow["joints"][number]): {
  first: number;
  last: number;
  least: number;
  most: number;
} {
  const { gap } = joint;
  return {
    first: gap[0] ?? 0,
    last: gap[gap.length - 1] ?? 0,
    least: Math.min(0, ...gap),
    most: Math.max(0, ...gap),
  };
}

const SPACE = 26;

/** The strips side by side as they are cut, standing. */
function Strips({ paper }: { paper: PaperRow }): JSX.Element {
  const boxes = paper.strips.map((strip) => {
    const xs = strip.outline.map((p) => p[0]);
    return [Math.min(...xs), Math.max(...xs)] as Point2;
  });
  const left = Math.min(...boxes.map((box) => box[0]));
  const right = Math.max(...boxes.map((box) => box[1]));
  const pitch = paper.width + SPACE;
  const order = [...paper.strips].sort((a, b) => a.number - b.number);
  const label = `${paper.strips.length} strips, ${formatLength(paper.width, system.value)} wide`;
  const box = {
    x: left - 60,
    y: -SPACE,
    width: right - left + 120,
    height: order.length * pitch + SPACE,
  };
  return (
    <Drawn box={box} label={label} kind="strips">
      {(unit) => (
        <>
          {order.map((strip, k) => {
            const middle = k * pitch + paper.width / 2;
            const points = strip.outline.map(([x, y]): Point2 => [x, middle - y]);
            return (
              <g key={strip.number}>
                <path class="card" d={pathOf(points, true)} />
                <path class="spine" d={`M0 ${middle - paper.width / 2}v${paper.width}`} />
                <text x={8 * unit} y={middle + 6 * unit}>
                  {strip.number}
                </text>
              </g>
            );
          })}
        </>
      )}
    </Drawn>
  );
}
