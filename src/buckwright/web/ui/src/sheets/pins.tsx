// The picked line in words: which batten the hand takes, its pins with typed coordinates, a new
// pin; and the table of everything that was moved by hand.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { fetching, held, ownPins, placeOf } from "../parts/hand";
import { Table } from "../parts/table";
import { Choice } from "../parts/title";
import { TypedText } from "../parts/typed";
import { Length } from "../parts/words";
import { Keeps } from "./keeps";
import { change, picked, system } from "../state";
import type { LinesSheet, PinRow } from "../types";
import { formatLength } from "../units";

const AXES = [
  ["x", "station"],
  ["y", "half-breadth"],
  ["z", "height"],
] as const;

export function PulledLine({ content }: { content: LinesSheet }): JSX.Element | null {
  const name = picked.value;
  if (!content.pullable || name === null) return null;
  if (!held.value) {
    return fetching.value ? <p role="status">Laying the lines so that they can be pulled…</p> : null;
  }
  const chosen = content.battens?.[name] ?? "ordinary";
  return (
    <section class="part">
      <h2>{name} in your hand</h2>
      <p>
        Drag the line to pull it there, in any view. Arrow keys move a pin by 1 mm, with Shift by
        10; Delete takes it away.
      </p>
      <div class="tools">
        <Choice
          head="Batten"
          value={chosen}
          options={[
            ["limber", "limber"],
            ["ordinary", "ordinary"],
            ["stiff", "stiff"],
            ["very stiff", "very stiff"],
          ]}
          choose={(batten) => void change({ what: "batten", line: name, batten })}
        />
      </div>
      <ul class="departures">
        {ownPins.value.map((pin) => (
          <li key={pin.place}>
            <span>
              <strong>
                Pin at {Math.round(100 * pin.share)} % of {pin.line}
              </strong>
              , moved by {formatLength(pin.by, system.value)}
            </span>
            {AXES.map(([axis, words], k) => (
              <TypedText
                key={axis}
                label={words}
                now={pin.point[k] === null ? "" : formatLength(shown(pin, k), system.value)}
                send={(length) => ({
                  what: "pin coordinate",
                  pin: pin.place,
                  axis,
                  length,
                  side: Math.sign(pin.now[1]),
                })}
              />
            ))}
            <TypedText
              label="because"
              now={pin.reason}
              send={(text) => ({ what: "pin reason", pin: pin.place, text })}
            />
            <button
              type="button"
              onClick={() => void change({ what: "drop pin", pin: pin.place })}
            >
              Take this pin away
            </button>
          </li>
        ))}
      </ul>
      <NewPin name={name} />
      <Keeps content={content} />
    </section>
  );
}

const shown = (pin: PinRow, k: number): number => (k === 1 ? Math.abs(pin.now[1]) : pin.now[k]!);

/** For those who do not drag: a pin where the line lies, to be moved by keys or typing. */
function NewPin({ name }: { name: string }): JSX.Element {
  const share = useSignal("50");
  const id = useId();
  const submit = (event: Event): void => {
    event.preventDefault();
    const batten = held.value;
    const at = { line: name, share: Number(share.value.replace(",", ".")) / 100 };
    if (!batten || !Number.isFinite(at.share)) return;
    const inside = Math.min(Math.max(at.share, 0), 1);
    const point = placeOf(batten, batten.pins, { line: name, share: inside });
    void change({ what: "pull line", ...at, point, by: 0, pin: null });
  };
  return (
    <form class="typed" onSubmit={submit}>
      <label for={id}>new pin at, in % of its length</label>
      <input
        id={id}
        type="text"
        inputMode="decimal"
        autocomplete="off"
        value={share.value}
        onInput={(event) => (share.value = event.currentTarget.value)}
      />
      <button type="submit">Pin it there</button>
    </form>
  );
}

export function MovedByHand({ content }: { content: LinesSheet }): JSX.Element | null {
  const rows = content.pins ?? [];
  if (rows.length === 0) return null;
  const said = (point: PinRow["now"]): JSX.Element[] =>
    point.map((at, k) => (
      <div key={k}>
        {AXES[k]![1]} <Length mm={k === 1 ? Math.abs(at) : at} />
      </div>
    ));
  return (
    <div class="part">
      <Table
        caption="Moved by hand"
        still
        rows={rows}
        name={(row) => `${row.line}, at ${Math.round(100 * row.share)} %`}
        head="Line"
        columns={[
          { head: "reference", cell: (row) => said(row.measured) },
          { head: "departure", cell: (row) => <Length mm={row.by} /> },
          { head: "now", cell: (row) => said(row.now) },
          { head: "because", words: true, cell: (row) => row.reason },
          {
            head: "pin",
            words: true,
            cell: (row) => (
              <button
                type="button"
                aria-label={`Take away the pin of ${row.line} at ${Math.round(100 * row.share)} %`}
                onClick={() => void change({ what: "drop pin", pin: row.place })}
              >
                Take away
              </button>
            ),
          },
        ]}
      />
    </div>
  );
}
