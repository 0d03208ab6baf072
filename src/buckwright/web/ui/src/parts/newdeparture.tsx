// The form of a new departure: a stretch zone, or a family of lines moved or scaled.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { change } from "../state";
import type { DepartureRow } from "../types";
import { Field, Switch } from "./fields";
import { AXIS_WORDS } from "./space";
import { Choice } from "./title";

type Kind = DepartureRow["kind"];
type Axis = DepartureRow["axis"];
type Fields = readonly (readonly [string, string])[];

const KINDS: [Kind, string][] = [
  ["stretch", "stretches a zone"],
  ["move", "moves lines"],
  ["scale", "scales lines"],
];
const AXES: [Axis, string][] = [
  ["x", "length"],
  ["y", "width"],
  ["z", "height"],
];
const SAID: Fields = [
  ["name", "what it is called"],
  ["reason", "because"],
];
const MOVES: Fields = [
  ["rearward", "rearward by"],
  ["outward", "outward by"],
  ["upward", "upward by"],
];
const FACTORS: Fields = [
  ["length", "times the length"],
  ["breadth", "times the breadth"],
  ["height", "times the height"],
];
const WORDS: Record<Kind, string> = {
  stretch:
    "What lies before the zone stays, what lies beyond it moves, and the zone itself is stretched smoothly. A width grows evenly about the centre.",
  move: "The lines keep their shape, and both sides move alike. Lines that end on them follow; others bend as little as they must.",
  scale:
    "The lines grow or shrink about the middle of them all. Lines that end on them follow; others bend as little as they must.",
};

export function NewDeparture({ names }: { names: string[] }): JSX.Element {
  const kind = useSignal<Kind>("stretch");
  const axis = useSignal<Axis>("z");
  const typed = useSignal<Record<string, string>>({});
  const family = useSignal<string[]>([]);
  const slides = useSignal(false);
  const stretch = kind.value === "stretch";
  const send = async (event: Event): Promise<void> => {
    event.preventDefault();
    const lines = { lines: family.value, on_surface: slides.value };
    const more = stretch ? { axis: axis.value } : lines;
    const said = { what: "add departure", kind: kind.value, ...more, ...typed.value };
    if (await change(said)) {
      typed.value = {};
      family.value = [];
    }
  };
  const fields = (which: Fields): JSX.Element[] =>
    which.map(([key, label]) => (
      <Field
        key={key}
        label={label}
        value={typed.value[key] ?? ""}
        type={(value) => (typed.value = { ...typed.value, [key]: value })}
      />
    ));
  const zone: Fields = [
    ["start", `zone from ${AXIS_WORDS[axis.value]}`],
    ["end", "to"],
    ["length", "grows by"],
  ];
  return (
    <details class="edits">
      <summary>Depart from the reference somewhere else</summary>
      <form class="typed-list" onSubmit={(event) => void send(event)}>
        <div class="tools">
          <Choice<Kind>
            head="It"
            value={kind.value}
            options={KINDS}
            choose={(value) => (kind.value = value)}
          />
          {stretch && (
            <Choice<Axis>
              head="and changes the"
              value={axis.value}
              options={AXES}
              choose={(value) => (axis.value = value)}
            />
          )}
        </div>
        <p class="quiet">{WORDS[kind.value]}</p>
        {fields(SAID)}
        {stretch ? (
          fields(zone)
        ) : (
          <>
            <Family names={names} chosen={family.value} choose={(next) => (family.value = next)} />
            {fields(kind.value === "move" ? MOVES : FACTORS)}
            <Switch
              on={slides.value}
              words="they slide along the surface that the lines around them show"
              flip={(on) => (slides.value = on)}
            />
          </>
        )}
        <p>
          <button type="submit">Depart there</button>
        </p>
      </form>
    </details>
  );
}

interface FamilyProps {
  names: string[];
  chosen: string[];
  choose: (chosen: string[]) => void;
}

function Family({ names, chosen, choose }: FamilyProps): JSX.Element {
  // The right side follows the left by itself.
  const one = names.filter((name) => !name.endsWith(" right"));
  const flip = (name: string, on: boolean): void =>
    choose(on ? [...chosen, name] : chosen.filter((other) => other !== name));
  return (
    <fieldset class="family">
      <legend>Its lines</legend>
      {one.map((name) => (
        <Switch key={name} on={chosen.includes(name)} words={name} flip={(on) => flip(name, on)} />
      ))}
    </fieldset>
  );
}
