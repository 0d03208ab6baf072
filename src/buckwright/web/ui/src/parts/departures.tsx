// Deliberate changes from the reference: made, switched on and off, resized by typing a length.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { change, system } from "../state";
import type { DepartureRow } from "../types";
import { formatLength } from "../units";
import { Field } from "./fields";
import { AXIS_WORDS } from "./space";
import { Choice } from "./title";
import { TypedLength } from "./typed";

export function Departures({ departures }: { departures: DepartureRow[] }): JSX.Element {
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
            <p>
              <button
                type="button"
                aria-label={`Give up ${departure.name}`}
                onClick={() => void change({ what: "drop departure", name: departure.name })}
              >
                Give it up
              </button>
            </p>
          </li>
        ))}
      </ul>
      <NewDeparture />
    </section>
  );
}

type Axis = DepartureRow["axis"];

const AXES: [Axis, string][] = [
  ["x", "length"],
  ["y", "width"],
  ["z", "height"],
];
const FIELDS = [
  ["name", "what it is called"],
  ["reason", "because"],
  ["start", "zone from"],
  ["end", "to"],
  ["length", "grows by"],
] as const;

function NewDeparture(): JSX.Element {
  const axis = useSignal<Axis>("z");
  const typed = useSignal<Record<string, string>>({});
  const send = async (event: Event): Promise<void> => {
    event.preventDefault();
    if (await change({ what: "add departure", axis: axis.value, ...typed.value })) typed.value = {};
  };
  return (
    <details class="edits">
      <summary>Depart from the reference somewhere else</summary>
      <p class="quiet">
        What lies before the zone stays, what lies beyond it moves, and the zone itself is stretched
        smoothly.
      </p>
      <form class="typed-list" onSubmit={(event) => void send(event)}>
        <div class="tools">
          <Choice<Axis>
            head="It changes the"
            value={axis.value}
            options={AXES}
            choose={(value) => (axis.value = value)}
          />
        </div>
        {FIELDS.map(([key, label]) => (
          <Field
            key={key}
            label={key === "start" ? `${label} ${AXIS_WORDS[axis.value]}` : label}
            value={typed.value[key] ?? ""}
            type={(value) => (typed.value = { ...typed.value, [key]: value })}
          />
        ))}
        <p>
          <button type="submit">Depart there</button>
        </p>
      </form>
    </details>
  );
}
