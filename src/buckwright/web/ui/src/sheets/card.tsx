// A card, or a comb, as it lies flat.

import type { JSX } from "preact";
import { Drawn } from "../parts/drawn";
import { pathOf } from "../parts/flat";
import { LETTER } from "../parts/measured";
import type { CardRow, CombRow } from "../cards";
import type { Point2 } from "../types";

const up = ([x, y]: Point2): Point2 => [x, -y];

function extent(outline: Point2[]): { middle: Point2; width: number; height: number } {
  const xs = outline.map((p) => p[0]);
  const ys = outline.map((p) => p[1]);
  const [left, right, low, high] = [
    Math.min(...xs),
    Math.max(...xs),
    Math.min(...ys),
    Math.max(...ys),
  ];
  return { middle: [(left + right) / 2, -(low + high) / 2], width: right - left, height: high - low };
}

export function SmallCard({ card, largest }: { card: CardRow; largest: number }): JSX.Element {
  const [x, y] = extent(card.outline).middle;
  const box = `${x - largest / 2} ${y - largest / 2} ${largest} ${largest}`;
  return (
    <svg viewBox={box} aria-hidden="true">
      <path class="card" d={pathOf(card.outline.map(up), true)} />
      <path class="profile" d={pathOf(card.profile.map(up))} />
    </svg>
  );
}

/** Heights of names so that none stands on the next, near to where they belong. */
function apart(wanted: number[], room: number): number[] {
  const order = wanted.map((_, k) => k).sort((a, b) => wanted[a]! - wanted[b]!);
  const given = [...wanted];
  for (let k = 1; k < order.length; k++) {
    const [before, now] = [order[k - 1]!, order[k]!];
    given[now] = Math.max(given[now]!, given[before]! + room);
  }
  return given;
}

function Marks({ card, unit }: { card: CardRow; unit: number }): JSX.Element {
  const { middle, width } = extent(card.outline);
  const places = card.marks.map(up);
  const heights = apart(
    places.map((p) => p[1]),
    1.15 * LETTER * unit,
  );
  return (
    <>
      {places.map(([x, y], k) => {
        const side = x > middle[0] ? 1 : -1;
        const out = middle[0] + side * (width / 2 + 10 * unit);
        return (
          <g key={k}>
            <path class="mark" d={`M${x - 7 * unit} ${y}H${x + 7 * unit}M${x} ${y - 7 * unit}V${y + 7 * unit}`} />
            <path class="mark-leader" d={`M${x} ${y}L${out} ${heights[k]}`} />
            <text
              x={out + side * 4 * unit}
              y={heights[k]! + 0.35 * LETTER * unit}
              text-anchor={side > 0 ? "start" : "end"}
            >
              {card.mark_names[k]}
            </text>
          </g>
        );
      })}
    </>
  );
}

export function FlatCard({ card }: { card: CardRow }): JSX.Element {
  const { middle, width, height } = extent(card.outline);
  const margin = 0.06 * Math.max(width, height) + 20;
  // Room at the sides for the names of the marks.
  const wide = Math.max(1.9 * width + 2 * margin, 2.0 * height);
  const box = {
    x: middle[0] - wide / 2,
    y: middle[1] - height / 2 - margin,
    width: wide,
    height: height + 2 * margin,
  };
  return (
    <Drawn box={box} label={`Card ${card.name}, its heavy edge touches the metal`}>
      {(unit) => (
        <>
          <path class="card" d={pathOf(card.outline.map(up), true)} />
          <path class="profile" d={pathOf(card.profile.map(up))} />
          <Marks card={card} unit={unit} />
        </>
      )}
    </Drawn>
  );
}

export function FlatComb({ board }: { board: CombRow }): JSX.Element {
  const { middle, width, height } = extent(board.outline);
  const margin = 0.04 * width + 20;
  const box = {
    x: middle[0] - width / 2 - margin,
    y: middle[1] - height / 2 - margin,
    width: width + 2 * margin,
    height: height + 2 * margin,
  };
  return (
    <Drawn box={box} label={`Comb ${board.name}, with a slot for each card`}>
      {() => <path class="card" d={pathOf(board.outline.map(up), true)} />}
    </Drawn>
  );
}
