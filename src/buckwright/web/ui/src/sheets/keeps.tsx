// What the picked line is told to keep: straight runs, corners, how its ends run, tolerance,
// weights. Said in words and forms, so that no mouse is needed.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { TypedText } from "../parts/typed";
import { change, picked, system } from "../state";
import type { KeptEnd, LineHold, LineRow, LinesSheet } from "../types";
import { formatFine, formatLength } from "../units";

const NOTHING: LineHold = { straights: [], corners: [], weights: [], tolerance: null, ends: {} };
const percent = (share: number): string => `${Number((100 * share).toFixed(2))} %`;

export function Keeps({ content }: { content: LinesSheet }): JSX.Element | null {
  const row = content.lines.find((line) => line.name === picked.value);
  if (!content.pullable || !row || row.use === "datum") return null;
  const hold = content.holds?.[row.name] ?? NOTHING;
  const others = content.lines.filter((line) => line.use === "body" && line.name !== row.name);
  return (
    <details class="keeps" open={hold !== NOTHING}>
      <summary>What {row.name} keeps</summary>
      <p>
        It is kept whatever pulls at the line, and by both sides. Places are in per cent of its
        length{row.beyond > 0 && (
          <>
            . <strong>Its points lie up to {formatFine(row.beyond, system.value)} outside its tolerance</strong>
          </>
        )}
        .
      </p>
      <Kept row={row} hold={hold} />
      <div class="keeping">
        <Asked
          line={row.name}
          what="keep straight"
          button="Make it straight"
          asks={[["from", "straight from, %"], ["to", "to, %"]]}
        />
        <Asked line={row.name} what="keep corner" button="Set a corner" asks={[["at", "corner at, %"]]} />
        <Asked
          line={row.name}
          what="keep weight"
          button="Weigh them"
          asks={[["from", "points from, %"], ["to", "to, %"], ["times", "count, times"]]}
        />
        <TypedText
          key={`tolerance of ${row.name}`}
          label={hold.tolerance === null ? `tolerance (measured: ${formatFine(row.tolerance, system.value)})` : "tolerance (empty: as measured)"}
          now={hold.tolerance === null ? "" : formatLength(hold.tolerance, system.value)}
          send={(length) => ({ what: "keep tolerance", line: row.name, length })}
        />
        {!row.closed && (
          <>
            <End key={`first ${row.name}`} line={row.name} end="first" now={hold.ends.first} others={others} />
            <End key={`last ${row.name}`} line={row.name} end="last" now={hold.ends.last} others={others} />
          </>
        )}
      </div>
    </details>
  );
}

/** What was said, each with the button that takes it back. */
function Kept({ row, hold }: { row: LineRow; hold: LineHold }): JSX.Element | null {
  const all = [
    ...hold.straights.map(([a, b], k) => ["straight", k, `Straight from ${percent(a)} to ${percent(b)}`] as const),
    ...hold.corners.map((at, k) => ["corner", k, `Corner at ${percent(at)}`] as const),
    ...hold.weights.map(
      ([a, b, times], k) => ["weight", k, `Points from ${percent(a)} to ${percent(b)} count ${times} times`] as const,
    ),
  ];
  if (all.length === 0) return null;
  return (
    <ul class="kept">
      {all.map(([kind, number, words]) => (
        <li key={kind + number}>
          {words}{" "}
          <button
            type="button"
            aria-label={`Take away: ${words}`}
            onClick={() => void change({ what: "keep no more", line: row.name, kind, number })}
          >
            Take away
          </button>
        </li>
      ))}
    </ul>
  );
}

interface AskedProps {
  line: string;
  what: string;
  button: string;
  asks: [string, string][];
}

function Asked({ line, what, button, asks }: AskedProps): JSX.Element {
  const typed = useSignal<Record<string, string>>({});
  const id = useId();
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    if (await change({ what, line, ...typed.value })) typed.value = {};
  };
  return (
    <form class="typed" onSubmit={(event) => void submit(event)}>
      {asks.map(([name, label]) => (
        <span key={name}>
          <label for={id + name}>{label}</label>
          <input
            id={id + name}
            type="text"
            inputMode="decimal"
            autocomplete="off"
            size={5}
            value={typed.value[name] ?? ""}
            onInput={(event) => (typed.value = { ...typed.value, [name]: event.currentTarget.value })}
          />
        </span>
      ))}
      <button type="submit" disabled={asks.some(([name]) => !typed.value[name])}>
        {button}
      </button>
    </form>
  );
}

interface EndProps {
  line: string;
  end: "first" | "last";
  now: KeptEnd | undefined;
  others: LineRow[];
}

function End({ line, end, now, others }: EndProps): JSX.Element {
  const way = useSignal<string>(now?.way ?? "free");
  const direction = useSignal(now?.direction ?? "");
  const other = useSignal(now?.line || others[0]?.name || "");
  const id = useId();
  const submit = (event: Event): void => {
    event.preventDefault();
    const told = { direction: direction.value, other: other.value };
    void change({ what: "keep tangent", line, end, way: way.value, ...told });
  };
  return (
    <form class="typed" onSubmit={submit}>
      <label for={id}>{end} end runs</label>
      <select id={id} value={way.value} onChange={(event) => (way.value = event.currentTarget.value)}>
        <option value="free">as it likes</option>
        <option value="square">square to the centre plane</option>
        <option value="direction">in a direction</option>
        <option value="line">on from a line</option>
      </select>
      {way.value === "direction" && (
        <>
          <label for={`${id}d`}>rearward, right, up</label>
          <input
            id={`${id}d`}
            type="text"
            autocomplete="off"
            placeholder="1 0 0.2"
            value={direction.value}
            onInput={(event) => (direction.value = event.currentTarget.value)}
          />
        </>
      )}
      {way.value === "line" && (
        <>
          <label for={`${id}l`}>line</label>
          <select id={`${id}l`} value={other.value} onChange={(event) => (other.value = event.currentTarget.value)}>
            {others.map((row) => (
              <option key={row.name}>{row.name}</option>
            ))}
          </select>
        </>
      )}
      <button type="submit">Let it run so</button>
    </form>
  );
}
