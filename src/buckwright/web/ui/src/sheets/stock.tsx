// Stock: how bars are cut, how near that is to the least possible, and the rack of remnants.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { Field, Select } from "../parts/fields";
import { TypedText } from "../parts/typed";
import { change, outline, system } from "../state";
import type { BuckSheet, Remnant } from "../types";
import { formatLength } from "../units";
import { Bars } from "./bars";
import { Chosen, listed } from "./chosen";

export function Stock({ content }: { content: BuckSheet }): JSX.Element {
  const { plans = [], rack = [], choices } = content;
  return (
    <>
      {plans.map((plan) => (
        <Bars key={plan.stock} plan={plan} />
      ))}
      {choices && (
        <section class="part">
          <h2>The rack</h2>
          <Rack rack={rack} stocks={plans.map((plan) => plan.stock)} />
          {plans.some((plan) => plan.bars.length > 0) && (
            <p>
              <button
                type="button"
                disabled={outline.value?.state !== "done"}
                onClick={() => void change({ what: "bars cut" })}
              >
                All is cut: put what is left into the rack
              </button>{" "}
              <span class="quiet">
                Bars that the plan takes from the rack leave it. Then tick the wires as built.
              </span>
            </p>
          )}
          <details class="edits">
            <summary>Change what is bought and how it is cut</summary>
            <TypedText
              label="rod is sold in bars of"
              now={listed(choices.bars.rod)}
              send={(text) => ({ what: "bars to buy", key: "rod", text })}
            />
            <TypedText
              label="tube is sold in bars of"
              now={listed(choices.bars.tube)}
              send={(text) => ({ what: "bars to buy", key: "tube", text })}
            />
            <Chosen choices={choices} group="stock" />
          </details>
        </section>
      )}
    </>
  );
}

function Rack({ rack, stocks }: { rack: Remnant[]; stocks: string[] }): JSX.Element {
  const stock = useSignal(stocks[0] ?? "");
  const length = useSignal("");
  const count = useSignal("1");
  const put = async (event: Event): Promise<void> => {
    event.preventDefault();
    const typed = { stock: stock.value, length: length.value, count: count.value };
    if (await change({ what: "put in rack", ...typed })) length.value = "";
  };
  return (
    <>
      {rack.length === 0 ? (
        <p class="quiet">
          Nothing lies in the rack. Bars put there are used before any is bought.
        </p>
      ) : (
        <ul class="rack">
          {rack.map((bar, place) => (
            <li key={place}>
              <span>
                <b>
                  {bar.count} × {formatLength(bar.length, system.value)}
                </b>{" "}
                {bar.stock}
              </span>
              <button
                type="button"
                aria-label={`Take ${formatLength(bar.length, system.value)} of ${bar.stock} out of the rack`}
                onClick={() => void change({ what: "take from rack", place })}
              >
                Take it out
              </button>
            </li>
          ))}
        </ul>
      )}
      <form class="tools" onSubmit={(event) => void put(event)}>
        <Select label="Put in" options={stocks} value={stock.value} choose={(v) => (stock.value = v)} />
        <Field label="length" value={length.value} type={(v) => (length.value = v)} />
        <Field label="how many" value={count.value} type={(v) => (count.value = v)} />
        <button type="submit">Put it in the rack</button>
      </form>
    </>
  );
}
