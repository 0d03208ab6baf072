// Deliberate changes from the reference: switched on and off, and resized by typing a length.

import type { JSX } from "preact";
import { change, system } from "../state";
import type { DepartureRow } from "../types";
import { formatLength } from "../units";
import { AXIS_WORDS } from "./space";
import { TypedLength } from "./typed";

export function Departures({ departures }: { departures: DepartureRow[] }): JSX.Element | null {
  if (departures.length === 0) return null;
  return (
    <section class="part">
      <h2>Departures from the reference</h2>
      <ul class="departures">
        {departures.map((departure) => (
          <li key={departure.name}>
            <label class="switch">
              <input
                type="checkbox"
                checked={departure.on}
                onChange={(event) =>
                  void change({
                    what: "switch departure",
                    name: departure.name,
                    on: event.currentTarget.checked,
                  })
                }
              />
              <span>
                <strong>{departure.name}</strong>, because: {departure.reason}
              </span>
            </label>
            <span>
              between {AXIS_WORDS[departure.axis]} {formatLength(departure.start, system.value)} and{" "}
              {formatLength(departure.end, system.value)}
            </span>
            <TypedLength
              label="longer by"
              mm={departure.by}
              send={(length) => ({ what: "resize departure", name: departure.name, length })}
            />
          </li>
        ))}
      </ul>
    </section>
  );
}
