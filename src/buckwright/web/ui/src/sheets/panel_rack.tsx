// The rack: offcuts that are cut before new sheets are.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { Length } from "../parts/words";
import { change } from "../state";
import type { PanelsSheet } from "../types";
import { thick } from "./panel_words";

export function Rack({ content }: { content: PanelsSheet }): JSX.Element {
  const along = useSignal("");
  const across = useSignal("");
  const count = useSignal("1");
  const put = async (event: Event): Promise<void> => {
    event.preventDefault();
    const sent = await change({
      what: "add offcut",
      along: along.value,
      across: across.value,
      count: Number(count.value),
    });
    if (sent) along.value = across.value = "";
  };
  const field = (label: string, of: { value: string }): JSX.Element => (
    <label class="pick">
      <span>{label}</span>
      <input
        type="text"
        class="short"
        autocomplete="off"
        value={of.value}
        onInput={(event) => (of.value = event.currentTarget.value)}
      />
    </label>
  );
  return (
    <section class="part">
      <h2>Offcuts in the rack</h2>
      {content.offcuts.length === 0 && <p class="quiet">The rack is empty.</p>}
      <ul class="rack">
        {content.offcuts.map((offcut, place) => (
          <li key={place}>
            <span>
              {offcut.count} × {offcut.alloy}, {thick(offcut.thickness)}: <Length mm={offcut.size[0]} />{" "}
              along the grain × <Length mm={offcut.size[1]} />
            </span>
            <button
              type="button"
              aria-label={`Take offcut ${place + 1} out of the rack`}
              onClick={() => void change({ what: "drop offcut", place })}
            >
              Take out
            </button>
          </li>
        ))}
      </ul>
      <form class="tools" aria-label="Put an offcut into the rack" onSubmit={(event) => void put(event)}>
        {field("along the grain", along)}
        {field("across", across)}
        {field("how many", count)}
        <button type="submit" disabled={!along.value || !across.value}>
          Put into the rack
        </button>
      </form>
      <p class="quiet">An offcut is cut before a new sheet is. Measure what is whole inside it.</p>
    </section>
  );
}
