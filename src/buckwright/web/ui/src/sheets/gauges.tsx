// What do we hold against it? Profile cards, all at one scale.

import type { JSX } from "preact";
import { Drawn } from "../parts/drawn";
import { pathOf } from "../parts/flat";
import { AXIS_WORDS } from "../parts/space";
import { Table } from "../parts/table";
import { Length } from "../parts/words";
import { pick, picked, system } from "../state";
import type { GaugeRow, GaugesSheet, Point2 } from "../types";
import { formatLength } from "../units";

const up = ([x, y]: Point2): Point2 => [x, -y];

export function Gauges({ content }: { content: GaugesSheet }): JSX.Element | null {
  const { gauges } = content;
  if (gauges.length === 0) return null;
  const card = gauges.find((row) => row.name === picked.value) ?? gauges[0]!;
  return (
    <>
      <figure class="view">
        <Card card={card} />
        <p class="said" role="status">
          {card.name}: for the {card.hand}, at {plane(card)},{" "}
          {formatLength(card.size[0], system.value)} × {formatLength(card.size[1], system.value)}.
          The heavy edge touches the metal.
        </p>
      </figure>
      <ul class="cards">
        {gauges.map((row) => (
          <li key={row.name}>
            <button type="button" aria-pressed={row === card} onClick={() => pick(row.name)}>
              <Small card={row} largest={Math.max(...gauges.flatMap((g) => g.size))} />
              <strong>{row.name}</strong>
              <span>
                {row.hand}, {plane(row)}
              </span>
            </button>
          </li>
        ))}
      </ul>
      <Table
        caption="Cards"
        rows={gauges}
        name={(row) => row.name}
        head="Card"
        columns={[
          { head: "for the", words: true, cell: (row) => row.hand },
          { head: "at", words: true, cell: plane },
          { head: "touches along", cell: (row) => <Length mm={row.length} /> },
          { head: "across", cell: (row) => <Length mm={row.size[0]} /> },
          { head: "up", cell: (row) => <Length mm={row.size[1]} /> },
          { head: "marks", cell: (row) => row.marks.length },
        ]}
      />
    </>
  );
}

function plane(card: GaugeRow): string {
  const [axis, at] = card.plane;
  return `${AXIS_WORDS[axis]} ${formatLength(at, system.value)}`;
}

function middle(card: GaugeRow): Point2 {
  const xs = card.outline.map((p) => p[0]);
  const ys = card.outline.map((p) => p[1]);
  return [(Math.min(...xs) + Math.max(...xs)) / 2, -(Math.min(...ys) + Math.max(...ys)) / 2];
}

function Small({ card, largest }: { card: GaugeRow; largest: number }): JSX.Element {
  const [x, y] = middle(card);
  const box = `${x - largest / 2} ${y - largest / 2} ${largest} ${largest}`;
  return (
    <svg viewBox={box} aria-hidden="true">
      <path class="card" d={pathOf(card.outline.map(up), true)} />
      <path class="profile" d={pathOf(card.profile.map(up))} />
    </svg>
  );
}

/** Where the card's name stands: away from the profile and its marks. */
function roomFor(card: GaugeRow): Point2 {
  const back = card.outline.slice(card.profile.length);
  const middle = (points: Point2[]): Point2 => {
    const [a, b] = [points[Math.floor((points.length - 1) / 2)]!, points[points.length >> 1]!];
    return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  };
  const near = middle(card.profile);
  const far = back.length > 0 ? middle(back) : near;
  return [near[0] + 0.6 * (far[0] - near[0]), near[1] + 0.6 * (far[1] - near[1])];
}

function Card({ card }: { card: GaugeRow }): JSX.Element {
  const [x, y] = middle(card);
  const [width, height] = card.size;
  const at = up(roomFor(card));
  const margin = 0.09 * Math.max(width, height) + 30;
  // Room at the sides for the names of the marks.
  const wide = Math.max(width + 2 * margin, 2.2 * height);
  const box = {
    x: x - wide / 2,
    y: y - height / 2 - margin,
    width: wide,
    height: height + 2 * margin,
  };
  return (
    <Drawn box={box} label={`Card ${card.name}`}>
      {(unit) => (
        <>
      <path class="card" d={pathOf(card.outline.map(up), true)} />
      <path class="profile" d={pathOf(card.profile.map(up))} />
      {card.marks.map((mark, k) => {
        const [mx, my] = up(mark);
        const side = mx > x ? 1 : -1;
        return (
          <g key={k}>
            <path class="mark" d={`M${mx - 9 * unit} ${my}H${mx + 9 * unit}M${mx} ${my - 9 * unit}V${my + 9 * unit}`} />
            <text
              x={mx + side * 14 * unit}
              y={my - 6 * unit}
              text-anchor={side > 0 ? "start" : "end"}
            >
              {card.mark_names[k]}
            </text>
          </g>
        );
      })}
      <text x={at[0]} y={at[1] + 7 * unit} text-anchor="middle" style={{ fontSize: `${22 * unit}px`, fontWeight: 600 }}>
        {card.name}
      </text>
        </>
      )}
    </Drawn>
  );
}
