// Which line is traced, and what can be done to the trace in the hand.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { Field } from "../parts/fields";
import { Choice } from "../parts/title";
import { post } from "../server";
import { attempt } from "../state";
import * as work from "./tracingwork";

const NEW = "a new line …";

const FOLLOW: [work.Kind, string][] = [
  ["tape", "tape"],
  ["edge", "edge"],
  ["silhouette", "outline"],
  ["point", "one marked point"],
];

const KIND_WORDS: Record<work.Kind, string> = {
  tape: "tape",
  edge: "edge",
  silhouette: "outline",
  point: "marked point",
  hand: "by hand",
};

export function LineTools({ content }: { content: work.TracingContent | null }): JSX.Element {
  const id = useId();
  const fresh = useSignal(false);
  const lines = content?.lines ?? [];
  const known = work.known.value;
  const inHand = work.draft.value?.kind;
  const choose = (name: string): void => {
    work.finish();
    fresh.value = name === NEW;
    work.line.value = fresh.value ? "" : name;
  };
  const value = fresh.value ? NEW : (known?.name ?? "");
  return (
    <div class="tools trace-line">
      <p class="field">
        <label for={id}>Trace</label>
        <select id={id} value={value} onChange={(event) => choose(event.currentTarget.value)}>
          <option value="">choose a line</option>
          {lines.map((line) => (
            <option key={line.name} value={line.name}>
              {`${line.name} (${KIND_WORDS[line.kind]}, ${counted(line.pictures, "picture")}${line.here ? ", here too" : ""})`}
            </option>
          ))}
          <option value={NEW}>{NEW}</option>
        </select>
      </p>
      {fresh.value && (
        <Field label="called" value={work.line.value} type={(name) => (work.line.value = name)} />
      )}
      {fresh.value && !known && (
        <Choice<work.Kind>
          head="It is"
          value={work.newKind.value}
          options={FOLLOW}
          choose={(kind) => (work.newKind.value = kind)}
        />
      )}
      {known && (known.kind === "tape" || known.kind === "edge") && (
        <Choice<"snap" | "hand">
          head="Clicks"
          value={inHand === "hand" || (!inHand && work.byHand.value) ? "hand" : "snap"}
          options={[
            ["snap", `snap to the ${known.kind}`],
            ["hand", "stay as they are"],
          ]}
          choose={(how) => void leave(how === "hand", known.kind)}
        />
      )}
    </div>
  );
}

async function leave(hand: boolean, kind: work.Kind): Promise<void> {
  const draft = work.draft.value;
  const to: work.Kind = hand ? "hand" : kind;
  if (draft?.place == null) work.byHand.value = hand;
  else if (draft.kind !== to) await work.snapAs(to);
}

export function TraceTools({ content }: { content: work.TracingContent | null }): JSX.Element {
  const draft = work.draft.value;
  const chosen = work.chosen.value;
  const kept = draft?.place != null;
  const clicks = draft?.clicks.length ?? 0;
  const stretch = chosen ?? -1;
  const stretches = draft ? clicks - (draft.closed ? 0 : 1) : 0;
  return (
    <>
      <p class="said" role="status">
        {sentence(content, draft)}
      </p>
      {draft && (
        <div class="tools">
          <button type="button" onClick={() => void work.takeBack()}>
            Take the last click back
          </button>
          {chosen !== null && clicks > 2 && (
            <button type="button" onClick={() => void work.takeBack(chosen)}>
              Take click {chosen + 1} away
            </button>
          )}
          {!draft.closed && clicks > 2 && (
            <button type="button" onClick={() => void work.close()}>
              Close it
            </button>
          )}
          {kept && stretch >= 0 && stretch < stretches && clicks > 2 && (
            <button type="button" onClick={() => void work.hide(stretch)}>
              Click {stretch + 1} to {((stretch + 1) % clicks) + 1} cannot be seen
            </button>
          )}
          {kept && !draft.closed && (
            <button type="button" onClick={() => void work.turnRound()}>
              Go on from the other end
            </button>
          )}
          {kept && (
            <button type="button" onClick={() => void work.drop()}>
              Take the trace away
            </button>
          )}
          <button type="button" class="main" onClick={() => work.finish()}>
            This trace is finished
          </button>
        </div>
      )}
      {work.words.value.length > 0 && (
        <ul class="findings">
          {work.words.value.map((words) => (
            <li key={words}>
              <span>{words}</span>
            </li>
          ))}
        </ul>
      )}
      <div class="tools">
        <span>Trace files</span>
        <a class="as-button" href="/api/traces.json" download="traces.json">
          Save all traces
        </a>
        <TakeFile />
      </div>
    </>
  );
}

function sentence(content: work.TracingContent | null, draft: work.Draft | null): string {
  if (!content) return "The picture is on its way.";
  if (!draft) {
    if (!work.line.value) return "Choose a line, or tap a trace to take it into the hand.";
    const others = content.others.length;
    const from = others > 0 ? ` It is traced in ${counted(others, "other picture")}.` : "";
    return `Click along ${work.line.value}, every thumb's width or so.${from}`;
  }
  const snapped = draft.stretches.filter((one) => one !== null).length;
  const how = draft.kind === "hand" || draft.kind === "point" ? "" : `, ${snapped} of ${Math.max(draft.clicks.length - (draft.closed ? 0 : 1), 0)} stretches snapped`;
  return `${draft.line}: ${counted(draft.clicks.length, "click")}${how}${draft.closed ? ", closed" : ""}`;
}

const counted = (number: number, one: string): string => `${number} ${one}${number === 1 ? "" : "s"}`;

function TakeFile(): JSX.Element {
  const id = useId();
  const take = async (input: HTMLInputElement): Promise<void> => {
    const file = input.files?.[0];
    if (!file) return;
    const text = await file.text();
    input.value = "";
    let content: unknown = null;
    try {
      content = JSON.parse(text);
    } catch {
      // Sent as nothing: the server says in words what is wrong with the file.
    }
    await attempt(() => post("/api/trace", { what: "take traces", name: file.name, content }));
  };
  return (
    <>
      <label for={id}>Take in a trace file</label>
      <input
        id={id}
        type="file"
        accept=".json,application/json"
        onChange={(event) => void take(event.currentTarget)}
      />
    </>
  );
}
