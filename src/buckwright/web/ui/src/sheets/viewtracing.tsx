// A line followed in a single view, with where it lies along the sight; taking lines and views out.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { Field, Select, Switch } from "../parts/fields";
import { change } from "../state";
import type { Point2 } from "../types";
import type { SingleView } from "./singletypes";

interface Props {
  view: SingleView;
  picture: string;
  clicks: Point2[];
  clear: () => void;
}

export function ViewTracing({ view, picture, clicks, clear }: Props): JSX.Element {
  const typed = useSignal<Record<string, string>>({});
  const outline = useSignal(false);
  const closed = useSignal(false);
  const field = (key: string, label: string): JSX.Element => (
    <Field
      label={label}
      value={typed.value[key] ?? ""}
      type={(text) => (typed.value = { ...typed.value, [key]: text })}
    />
  );
  const along = view.axes[2];
  return (
    <>
      <form class="squaring" onSubmit={(event) => void send(event)}>
        {field("line", "name of the line")}
        {!view.drawing && field("nearest", `it lies at ${along} from`)}
        {!view.drawing && field("farthest", `to ${along}`)}
        {!view.drawing && (
          <Switch
            on={outline.value}
            words="It is an outline against the background"
            flip={(on) => (outline.value = on)}
          />
        )}
        {outline.value && field("crown", "radius of the crown it goes over")}
        <Switch on={closed.value} words="It goes all round" flip={(on) => (closed.value = on)} />
        <p>
          <button type="submit" class="main" disabled={clicks.length < 2}>
            Keep the line
          </button>{" "}
          <button type="button" onClick={clear} disabled={clicks.length === 0}>
            Click it anew
          </button>
        </p>
      </form>
      <TakeOut view={view} />
    </>
  );

  async function send(event: Event): Promise<void> {
    event.preventDefault();
    const kept = await change({
      what: "view trace",
      name: view.name,
      picture,
      px: clicks,
      outline: outline.value,
      closed: closed.value,
      ...typed.value,
    });
    if (kept) clear();
  }
}

function TakeOut({ view }: { view: SingleView }): JSX.Element {
  const lines = view.traces.map((trace) => trace.line);
  const line = useSignal(lines[0] ?? "");
  const now = lines.includes(line.value) ? line.value : (lines[0] ?? "");
  return (
    <details class="edits">
      <summary>Take a line out, or the view</summary>
      {lines.length > 0 && (
        <>
          <Select label="line" options={lines} value={now} choose={(name) => (line.value = name)} />
          <p>
            <button
              type="button"
              onClick={() => void change({ what: "view untrace", name: view.name, line: now })}
            >
              Take this line out
            </button>
          </p>
        </>
      )}
      <p>
        <button type="button" onClick={() => void change({ what: "view out", name: view.name })}>
          Take view {view.name} out, with its lines
        </button>
      </p>
    </details>
  );
}
