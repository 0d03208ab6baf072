// How bars of stock are cut: each bar drawn to scale with its pieces.

import type { JSX } from "preact";
import { hovered, pick, picked, system } from "../state";
import type { CuttingPlan } from "../types";
import { formatLength, inUnits } from "../units";

export function Bars({ plan }: { plan: CuttingPlan }): JSX.Element | null {
  if (plan.bars.length === 0) return null;
  const longest = Math.max(...plan.bars.map((bar) => bar.bar_length));
  const count = plan.bars.length;
  const bound = plan.proven
    ? "fewer cannot do"
    : `at least ${plan.bars_bound} ${plan.bars_bound === 1 ? "is" : "are"} needed`;
  return (
    <section class="part">
      <h2>
        Cutting {plan.stock}: {count} {count === 1 ? "bar" : "bars"}, {bound}
      </h2>
      {plan.words && <p class="big-line">{inUnits(plan.words, system.value)}</p>}
      <ol class="bars">
        {plan.bars.map((bar, k) => (
          <li key={k}>
            <div
              class="bar"
              aria-hidden="true"
              style={{ width: `${(100 * bar.bar_length) / longest}%` }}
            >
              {bar.pieces.map((piece, n) => (
                <span
                  key={n}
                  class={marked(piece.name)}
                  style={{ width: `${(100 * piece.length) / bar.bar_length}%` }}
                  title={`${piece.name}: ${formatLength(piece.length, system.value)}`}
                  onClick={() => pick(piece.name)}
                >
                  {piece.name}
                </span>
              ))}
            </div>
            <p class="pieces">
              {bar.pieces.map((piece, n) => (
                <button
                  type="button"
                  key={n}
                  class="name"
                  aria-pressed={picked.value === piece.name}
                  onClick={() => pick(piece.name)}
                >
                  {piece.name} <b>{formatLength(piece.length, system.value)}</b>
                </button>
              ))}
              <span class="rest">
                {formatLength(bar.remnant, system.value)} left
                {bar.from_rack && ", from the rack"}
              </span>
            </p>
          </li>
        ))}
      </ol>
    </section>
  );
}

function marked(name: string): string {
  return picked.value === name ? "picked" : hovered.value === name ? "near" : "";
}
