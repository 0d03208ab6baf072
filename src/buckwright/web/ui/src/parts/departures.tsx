// Deliberate changes from the reference: made, put in order, switched on and off, resized.

import type { JSX } from "preact";
import { change, system } from "../state";
import type { DepartureRow, LinesSheet } from "../types";
import { formatLength } from "../units";
import { Dimensions } from "./dimensions";
import { Select } from "./fields";
import { NewDeparture } from "./newdeparture";
import { AXIS_WORDS } from "./space";
import { TypedLength } from "./typed";

export function Departures({ content }: { content: LinesSheet }): JSX.Element {
  const { departures } = content;
  const names = content.lines.map((line) => line.name);
  return (
    <section class="part">
      <h2>Departures from the reference</h2>
      <ol class="departures">
        {departures.map((departure, place) => (
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
            {departure.kind === "stretch" ? (
              <Stretch departure={departure} names={names} />
            ) : (
              <span>{familyWords(departure)}</span>
            )}
            <p class="tools">
              {place > 0 && <Earlier departure={departure} />}
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
      </ol>
      <NewDeparture names={names} />
      <Dimensions content={content} />
    </section>
  );
}

function Earlier({ departure }: { departure: DepartureRow }): JSX.Element {
  return (
    <button
      type="button"
      aria-label={`Put ${departure.name} one earlier`}
      onClick={() => void change({ what: "order departure", name: departure.name, earlier: true })}
    >
      Put it one earlier
    </button>
  );
}

function Stretch({ departure, names }: { departure: DepartureRow; names: string[] }): JSX.Element {
  const keep = (line: string, on: boolean): void =>
    void change({ what: "keep rigid", name: departure.name, line, on });
  const free = names.filter((name) => !departure.rigid.includes(name));
  const NONE = "choose a line";
  return (
    <>
      <span>
        between {AXIS_WORDS[departure.axis]} {formatLength(departure.start, system.value)} and{" "}
        {formatLength(departure.end, system.value)}
      </span>
      <TypedLength
        label="longer by"
        mm={departure.by}
        send={(length) => ({ what: "resize departure", name: departure.name, length })}
      />
      {departure.rigid.map((line) => (
        <span key={line}>
          {line} keeps its shape{" "}
          <button
            type="button"
            aria-label={`Stretch ${line} with the rest`}
            onClick={() => keep(line, false)}
          >
            Stretch it too
          </button>
        </span>
      ))}
      <Select
        label="Keep in shape"
        options={[NONE, ...free]}
        value={NONE}
        choose={(line) => line !== NONE && keep(line, true)}
      />
    </>
  );
}

const WAYS = ["rearward", "outward", "upward"] as const;
const SIZES = ["length", "breadth", "height"] as const;

function familyWords(departure: DepartureRow): string {
  const names = departure.lines.join(", ");
  const how =
    departure.kind === "move"
      ? WAYS.map((way, k) => [departure.move[k as 0 | 1 | 2], way] as const)
          .filter(([by]) => by !== 0)
          .map(([by, way]) => `${formatLength(by, system.value)} ${way}`)
      : SIZES.map((way, k) => [departure.factors[k as 0 | 1 | 2], way] as const)
          .filter(([by]) => by !== 1)
          .map(([by, way]) => `${Math.round(by * 1000) / 10} % of the ${way}`);
  const slid = departure.on_surface ? ", sliding along the surface" : "";
  return `${names}: ${how.join(", ")}${slid}`;
}
