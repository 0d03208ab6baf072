// Who sits where, and what stands round them, changed by typing.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { Field, Select } from "../parts/fields";
import { Choice } from "../parts/title";
import { TypedLength, TypedText } from "../parts/typed";
import { change, system } from "../state";
import type { Allowances, PeopleSheet, PersonRow, Point3, CabSpecRow, Who } from "../types";
import { formatLength } from "../units";

const WHO: [Who, string][] = [
  ["woman", "a woman"],
  ["man", "a man"],
  ["either", "either"],
];

export function PeopleEdits({ content }: { content: PeopleSheet }): JSX.Element | null {
  const { people, allowances, seat, spec } = content;
  if (!allowances || !seat) return null;
  return (
    <section class="part">
      <h2>Change it</h2>
      {people.map((person) => (
        <OnePerson key={person.name} person={person} content={content} />
      ))}
      <NewPerson />
      <NewCrew crews={content.crews ?? []} />
      <SeatEdits seat={seat} allowances={allowances} />
      {spec ? (
        <SpecEdits spec={spec} />
      ) : (
        <p>
          <button type="button" onClick={() => void change({ what: "begin package" })}>
            Lay out seats, steering, wheels and sight
          </button>
        </p>
      )}
    </section>
  );
}

function OnePerson({ person, content }: { person: PersonRow; content: PeopleSheet }): JSX.Element {
  const name = person.name;
  const lone = content.people.length === 1;
  return (
    <details class="edits one-person">
      <summary>
        {name}: {person.chosen === null ? "measured" : `${WHO_WORDS[person.who]}, ${person.chosen} %`}
      </summary>
      <p class="quiet">
        Measured sizes come first. What is left empty comes from a survey ({content.size_source}).
      </p>
      <div class="typed-list">
        {content.sizes.map(({ field, words }) => (
          <SizeField key={field} label={words} mm={person.sizes[field] ?? null} send={(length) => ({
            what: "size person",
            name,
            field,
            length,
          })} />
        ))}
      </div>
      <Percentile
        label="All sizes as of"
        button="Take these sizes"
        start={person.who}
        send={(who, text) => ({ what: "choose sizes", name, who, text })}
      />
      {!lone && (
        <p>
          <button type="button" onClick={() => void change({ what: "drop person", name })}>
            {name} does not come along
          </button>{" "}
          <span class="quiet">Undo brings the sizes back.</span>
        </p>
      )}
    </details>
  );
}

const WHO_WORDS: Record<Who, string> = { woman: "women", man: "men", either: "women and men" };

interface SizeProps {
  label: string;
  mm: number | null;
  send: (length: string) => object;
}

/** A length that may be left empty. */
function SizeField({ label, mm, send }: SizeProps): JSX.Element {
  const now = mm === null ? "" : formatLength(mm, system.value);
  return <TypedText label={label} now={now} send={send} />;
}

interface PercentileProps {
  label: string;
  button: string;
  start: Who;
  send: (who: Who, percent: string) => object;
}

function Percentile({ label, button, start, send }: PercentileProps): JSX.Element {
  const who = useSignal<Who>(start);
  const percent = useSignal("95");
  const id = useId();
  return (
    <form
      class="typed percentile"
      onSubmit={(event) => {
        event.preventDefault();
        void change(send(who.value, percent.value));
      }}
    >
      <div class="tools">
        <Choice<Who>
          head={label}
          value={who.value}
          options={WHO}
          choose={(next) => (who.value = next)}
        />
      </div>
      <label for={id}>larger than this share, %</label>
      <input
        id={id}
        type="text"
        autocomplete="off"
        value={percent.value}
        onInput={(event) => (percent.value = event.currentTarget.value)}
      />
      <button type="submit">{button}</button>
    </form>
  );
}

function NewPerson(): JSX.Element {
  const name = useSignal("");
  const id = useId();
  return (
    <details class="edits one-person">
      <summary>Seat another person</summary>
      <div class="typed percentile">
        <label for={id}>Name</label>
        <input
          id={id}
          type="text"
          autocomplete="off"
          value={name.value}
          onInput={(event) => (name.value = event.currentTarget.value)}
        />
      </div>
      <Percentile
        label="All sizes as of"
        button="Seat this person on the right"
        start="either"
        send={(who, text) => ({ what: "add person", name: name.value, who, text })}
      />
    </details>
  );
}

/** Everybody at once: a mix of women and men, all as large as so many of the survey. */
function NewCrew({ crews }: { crews: string[] }): JSX.Element | null {
  const crew = useSignal(crews[0] ?? "");
  const percent = useSignal("95");
  if (crews.length === 0) return null;
  return (
    <details class="edits one-person">
      <summary>Seat another crew</summary>
      <p class="quiet">They take the place of whoever sits there; undo brings those back.</p>
      <form
        class="typed-list"
        onSubmit={(event) => {
          event.preventDefault();
          void change({ what: "seat crew", crew: crew.value, text: percent.value });
        }}
      >
        <Select label="Who" options={crews} value={crew.value} choose={(name) => (crew.value = name)} />
        <Field
          label="larger than this share, %"
          value={percent.value}
          type={(text) => (percent.value = text)}
        />
        <p>
          <button type="submit">Seat them</button>
        </p>
      </form>
    </details>
  );
}

function SeatEdits({ seat, allowances }: { seat: [number, number]; allowances: Allowances }): JSX.Element {
  const allow = (field: keyof Allowances) => (length: string) => ({ what: "allowance", field, length });
  return (
    <details class="edits one-person">
      <summary>Seat, doors, clothing</summary>
      <div class="typed-list">
        <TypedLength
          label="Station of the shoulders"
          mm={seat[0]}
          send={(length) => ({ what: "move seat", axis: "x", length })}
        />
        <TypedLength
          label="Height of the loaded seat"
          mm={seat[1]}
          send={(length) => ({ what: "move seat", axis: "z", length })}
        />
        <TypedLength label="Clothing, each" mm={allowances.clothing} send={allow("clothing")} />
        <TypedLength label="Between neighbours" mm={allowances.between} send={allow("between")} />
        <TypedLength label="Door, each side" mm={allowances.door_thickness} send={allow("door_thickness")} />
        <TypedLength label="Sheet" mm={allowances.sheet_thickness} send={allow("sheet_thickness")} />
        <SizeField label="All together over the shoulders, measured" mm={allowances.abreast} send={allow("abreast")} />
        <SizeField label="Finished width to compare with" mm={allowances.finished} send={allow("finished")} />
      </div>
    </details>
  );
}

function SpecEdits({ spec }: { spec: CabSpecRow }): JSX.Element {
  return (
    <>
      <details class="edits one-person">
        <summary>Steering, wheels, roof, glass</summary>
        <div class="tools">
          <Choice<"left" | "right">
            head="The driver sits"
            value={spec.driver}
            options={[
              ["left", "on the left"],
              ["right", "on the right"],
            ]}
            choose={(side) => void change({ what: "driver", side })}
          />
        </div>
        <div class="typed-list">
          {spec.numbers.map(({ field, words, value, degrees }) => {
            const label = words[0]!.toUpperCase() + words.slice(1);
            const send = (text: string): object => ({ what: "package", field, text });
            return degrees ? (
              <TypedText key={field} label={`${label}, degrees`} now={String(value)} send={send} />
            ) : (
              <SizeField key={field} label={label} mm={value} send={send} />
            );
          })}
        </div>
      </details>
      <EngineEdits box={spec.engine} />
    </>
  );
}

const EDGES: [string, "low" | "high", number][] = [
  ["front", "low", 0],
  ["rear", "high", 0],
  ["left", "low", 1],
  ["right", "high", 1],
  ["bottom", "low", 2],
  ["top", "high", 2],
];

function EngineEdits({ box }: { box: { low: Point3; high: Point3 } | null }): JSX.Element {
  return (
    <details class="edits one-person">
      <summary>Engine: {box ? "a box" : "none"}</summary>
      <div class="typed-list">
        {EDGES.map(([edge, end, axis]) => (
          <SizeField
            key={edge}
            label={`Its ${edge}, ${["station", "buttock", "level"][Math.floor(axis)]}`}
            mm={box ? box[end][axis]! : null}
            send={(length) => ({ what: "engine", edge, length })}
          />
        ))}
      </div>
      {box && (
        <p>
          <button type="button" onClick={() => void change({ what: "engine", none: true })}>
            No engine stands there
          </button>
        </p>
      )}
    </details>
  );
}
