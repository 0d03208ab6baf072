// Which wires there are: what may be changed of one, and a form to add another.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { Field, Select } from "../parts/fields";
import { AXIS_WORDS } from "../parts/space";
import { Choice } from "../parts/title";
import { TypedLength, TypedText } from "../parts/typed";
import { change, picked } from "../state";
import type { AskedWire, BuckSheet, WireRow } from "../types";

export function WireEdits({ row, content }: { row: WireRow; content: BuckSheet }): JSX.Element {
  const asked = (content.asked ?? []).find((wire) => wire.name === row.asked);
  if (!asked) {
    return <p class="stale">The job asks for this wire no more; it goes when you work it out.</p>;
  }
  return (
    <details class="edits">
      <summary>Change this wire</summary>
      <OfOne wire={asked} others={(content.asked ?? []).filter((w) => w !== asked)} />
    </details>
  );
}

function OfOne({ wire, others }: { wire: AskedWire; others: AskedWire[] }): JSX.Element {
  const name = wire.name;
  return (
    <div class="typed-list">
      <TypedText
        label="Name"
        now={name}
        send={(text) => ({ what: "rename wire", name, text })}
      />
      {wire.plane && (
        <TypedLength
          label={`At ${AXIS_WORDS[wire.plane[0]]}`}
          mm={wire.plane[1]}
          send={(length) => ({ what: "move wire", name, length })}
        />
      )}
      <TypedText
        label="Stage (1 goes up with the frame)"
        now={String(wire.stage)}
        send={(text) => ({ what: "wire stage", name, text })}
      />
      <TypedText
        label="Layer to begin with (0 carries the metal)"
        now={String(wire.layer)}
        send={(text) => ({ what: "wire layer", name, text })}
      />
      <div class="tools">
        <Choice<"inside" | "cut">
          head="Where it meets other wires"
          value={wire.at_crossings}
          options={[
            ["inside", "pass inside"],
            ["cut", "cut and butt"],
          ]}
          choose={(way) => void change({ what: "wire at crossings", name, way })}
        />
      </div>
      {wire.at_crossings === "inside" && <CutAt wire={wire} others={others} />}
      <p>
        <button
          type="button"
          onClick={async () => {
            if (await change({ what: "drop wire", name })) picked.value = null;
          }}
        >
          Drop this wire
        </button>{" "}
        <span class="quiet">Undo brings it back.</span>
      </p>
    </div>
  );
}

function CutAt({ wire, others }: { wire: AskedWire; others: AskedWire[] }): JSX.Element {
  const id = useId();
  const cut = (other: string, on: boolean): void => {
    void change({ what: "wire cut at", name: wire.name, other, on });
  };
  return (
    <div class="tools">
      <label for={id}>But cut it at</label>
      <select
        id={id}
        value=""
        onChange={(event) => {
          const other = event.currentTarget.value;
          event.currentTarget.value = "";
          if (other) cut(other, true);
        }}
      >
        <option value="">choose a wire</option>
        {others
          .filter((other) => !wire.cut_at.includes(other.name))
          .map((other) => (
            <option key={other.name}>{other.name}</option>
          ))}
      </select>
      {wire.cut_at.map((other) => (
        <button type="button" key={other} onClick={() => cut(other, false)}>
          Not at {other} after all
        </button>
      ))}
    </div>
  );
}

type Along = "line" | "x" | "y" | "z";

const ALONG: [Along, string][] = [
  ["line", "a line"],
  ["x", "a station"],
  ["y", "a buttock"],
  ["z", "a level"],
];

export function AddWire({ content }: { content: BuckSheet }): JSX.Element {
  const { regions = [], lines = [] } = content;
  const along = useSignal<Along>("x");
  const region = useSignal(regions[0] ?? "");
  const line = useSignal("");
  const at = useSignal("");
  const name = useSignal("");
  const stage = useSignal("1");
  const send = async (event: Event): Promise<void> => {
    event.preventDefault();
    const typed = {
      what: "add wire",
      name: name.value,
      region: region.value,
      along: along.value,
      line: line.value || lines[0],
      length: at.value,
      stage: stage.value,
    };
    if (await change(typed)) [at.value, name.value] = ["", ""];
  };
  return (
    <details class="edits">
      <summary>Add a wire</summary>
      <form class="typed-list" onSubmit={(event) => void send(event)}>
        <div class="tools">
          <Choice<Along>
            head="It follows"
            value={along.value}
            options={lines.length > 0 ? ALONG : ALONG.slice(1)}
            choose={(value) => (along.value = value)}
          />
        </div>
        <Select label="on" options={regions} value={region.value} choose={(v) => (region.value = v)} />
        {along.value === "line" ? (
          <Select label="line" options={lines} value={line.value} choose={(v) => (line.value = v)} />
        ) : (
          <Field label={`${AXIS_WORDS[along.value]} at`} value={at.value} type={(v) => (at.value = v)} />
        )}
        <Field label="name (may be left empty)" value={name.value} type={(v) => (name.value = v)} />
        <Field label="stage" value={stage.value} type={(v) => (stage.value = v)} />
        <p>
          <button type="submit" class="main">
            Add it
          </button>
        </p>
      </form>
    </details>
  );
}
