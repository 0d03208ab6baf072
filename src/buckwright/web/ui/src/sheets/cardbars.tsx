// Lengths measured from one card to another: both marks picked on a drawing of the card.

import { useSignal, type Signal } from "@preact/signals";
import type { JSX } from "preact";
import { Field, Select } from "../parts/fields";
import { change, system } from "../state";
import type { Point2, Point3, ShootRows } from "../types";

/** As a caliper reads: finer than other lengths are told. */
export function exactly(mm: number): string {
  return system.value === "inch" ? `${(mm / 25.4).toFixed(4)} in` : `${mm.toFixed(2)} mm`;
}

const words = ([card, column, row]: Point3): string => `card ${card}, column ${column}, row ${row}`;

const upTo = (most: number): string[] => Array.from({ length: most }, (_, k) => String(k + 1));

export function BetweenCards({ shoot, board }: { shoot: ShootRows; board: Point2 }): JSX.Element {
  const first = useSignal<Point3>([1, 1, 1]);
  const second = useSignal<Point3>([shoot.cards, 1, 1]);
  const length = useSignal("");
  const sigma = useSignal("0.5 mm");
  return (
    <section class="part from-card">
      <h3>From card to card</h3>
      <p>
        The surest scale of a large part: a steel tape from a mark of one card to a mark of another, as far
        away as can be. A mark is where four squares meet.
      </p>
      {shoot.between.length > 0 && (
        <ul>
          {shoot.between.map((bar, k) => (
            <li key={k}>
              <strong>{exactly(bar.mm)}</strong> from {words(bar.first)} to {words(bar.second)}
              {bar.sigma > 0 && `, to ${exactly(bar.sigma)}`}{" "}
              <button
                type="button"
                aria-label={`Take length ${k + 1} off`}
                onClick={() => void change({ what: "card bar off", number: k + 1 })}
              >
                Take it off
              </button>
            </li>
          ))}
        </ul>
      )}
      <form onSubmit={(event) => void send(event)}>
        <div class="ends">
          <End legend="from" cards={shoot.cards} board={board} at={first} />
          <End legend="to" cards={shoot.cards} board={board} at={second} />
        </div>
        <Field label="the tape says" value={length.value} type={(text) => (length.value = text)} />
        <Field label="good to" value={sigma.value} type={(text) => (sigma.value = text)} />
        <p>
          <button type="submit" class="main" disabled={length.value.trim() === ""}>
            Keep this length
          </button>
        </p>
      </form>
    </section>
  );

  async function send(event: Event): Promise<void> {
    event.preventDefault();
    const kept = await change({
      what: "card bar",
      first: first.value,
      second: second.value,
      length: length.value,
      sigma: sigma.value,
    });
    if (kept) length.value = "";
  }
}

interface EndProps {
  legend: string;
  cards: number;
  board: Point2;
  at: Signal<Point3>;
}

function End({ legend, cards, board, at }: EndProps): JSX.Element {
  const set = (place: number, text: string): void => {
    const next = [...at.value] as Point3;
    next[place] = Number(text);
    at.value = next;
  };
  const choice = (label: string, place: number, most: number): JSX.Element => (
    <Select
      label={label}
      options={upTo(most)}
      value={String(at.value[place])}
      choose={(text) => set(place, text)}
    />
  );
  return (
    <fieldset>
      <legend>{legend}</legend>
      {choice("card", 0, cards)}
      <Board board={board} at={at} />
      {choice("column of the mark", 1, board[0] - 1)}
      {choice("row of the mark", 2, board[1] - 1)}
    </fieldset>
  );
}

/** One card as it is printed, a square to a unit; a tap on a corner picks the mark. */
function Board({ board: [columns, rows], at }: { board: Point2; at: Signal<Point3> }): JSX.Element {
  const [card, column, row] = at.value;
  const squares: Point2[] = [];
  for (let r = 0; r < rows; r += 1) for (let c = r % 2; c < columns; c += 2) squares.push([c, r]);
  const pick = (event: MouseEvent & { currentTarget: SVGSVGElement }): void => {
    const { left, top, width } = event.currentTarget.getBoundingClientRect();
    const [x, y] = [event.clientX - left, event.clientY - top].map(
      (px) => Math.round((px / width) * (columns + 2) - 1),
    ) as Point2;
    at.value = [card, Math.min(Math.max(x, 1), columns - 1), Math.min(Math.max(y, 1), rows - 1)];
  };
  return (
    <svg
      class="card-board"
      viewBox={`-1 -1 ${columns + 2} ${rows + 2.2}`}
      role="img"
      aria-label={`Card ${card} the right way up, its number below on the right: the mark is at column ${column}, row ${row}`}
      onClick={pick}
    >
      <rect class="paper" x={-1} y={-1} width={columns + 2} height={rows + 2.2} />
      <path class="ink" d={squares.map(([c, r]) => `M${c} ${r}h1v1h-1z`).join("")} />
      <path class="edge" d={`M0 0H${columns}V${rows}H0z`} />
      <text x={columns - 0.1} y={rows + 1} text-anchor="end">
        {card}
      </text>
      <path class="cross" d={`M${column - 0.7} ${row}h1.4M${column} ${row - 0.7}v1.4`} />
      <circle class="mark" cx={column} cy={row} r={0.32} />
    </svg>
  );
}
