// The title block along the top, as on a drawing: what, which, how large; units, light, history.

import { useSignal } from "@preact/signals";
import type { ComponentChildren, JSX } from "preact";
import { job, stepBackOrForth, system, theme, type Theme } from "../state";
import type { System } from "../units";
import { formatLength } from "../units";

function Cell({ head, children }: { head: string; children: ComponentChildren }): JSX.Element {
  return (
    <div class="cell">
      <dt>{head}</dt>
      <dd>{children}</dd>
    </div>
  );
}

interface ChoiceProps<Value extends string> {
  head: string;
  value: Value;
  options: [Value, string][];
  choose: (value: Value) => void;
}

export function Choice<Value extends string>(props: ChoiceProps<Value>): JSX.Element {
  return (
    <fieldset class="choice">
      <legend>{props.head}</legend>
      {props.options.map(([value, words]) => (
        <label key={value}>
          <input
            type="radio"
            name={props.head}
            checked={props.value === value}
            onChange={() => props.choose(value)}
          />
          <span>{words}</span>
        </label>
      ))}
    </fieldset>
  );
}

export function TitleBlock(): JSX.Element {
  const now = job.value;
  const open = useSignal(false);
  return (
    <header class="title">
      <dl>
        <Cell head="Job">{now?.name ?? "…"}</Cell>
        <Cell head="Revision">{now?.revision ?? "…"}</Cell>
        <Cell head="Model">{now ? `1 : ${now.scale}` : "…"}</Cell>
        <Cell head="Wheelbase">
          {now?.wheelbase ? formatLength(now.wheelbase, system.value) : "not yet known"}
        </Cell>
      </dl>
      <div class="switches">
        <Choice<System>
          head="Lengths"
          value={system.value}
          options={[
            ["mm", "mm"],
            ["inch", "ft-in"],
          ]}
          choose={(value) => (system.value = value)}
        />
        <Choice<Theme>
          head="Light"
          value={theme.value}
          options={[
            ["light", "day"],
            ["dark", "night"],
            ["auto", "as the machine"],
          ]}
          choose={(value) => (theme.value = value)}
        />
        <div class="history-keys">
          <button
            type="button"
            disabled={!now?.undo}
            onClick={() => void stepBackOrForth("undo")}
            title={now?.undo ? `Undo: ${now.undo} (Ctrl+Z)` : "Nothing to undo"}
          >
            Undo
          </button>
          <button
            type="button"
            disabled={!now?.redo}
            onClick={() => void stepBackOrForth("redo")}
            title={now?.redo ? `Redo: ${now.redo} (Ctrl+Shift+Z)` : "Nothing to redo"}
          >
            Redo
          </button>
          <button
            type="button"
            aria-expanded={open.value}
            aria-controls="history"
            onClick={() => (open.value = !open.value)}
          >
            History
          </button>
        </div>
      </div>
      {open.value && <History />}
    </header>
  );
}

function History(): JSX.Element {
  const all = job.value?.history ?? [];
  const undone = new Set<number>();
  for (const operation of all) {
    if (operation.subject === null) continue;
    if (operation.kind === "undo") undone.add(operation.subject);
    else undone.delete(operation.subject);
  }
  const edits = all.filter((operation) => operation.kind === "edit").reverse();
  return (
    <section id="history" aria-label="History">
      {edits.length === 0 && <p>Nothing has been changed on this job yet.</p>}
      <ol>
        {edits.map((operation) => (
          <li key={operation.id} class={undone.has(operation.id) ? "undone" : ""}>
            <time dateTime={operation.made}>{new Date(operation.made).toLocaleString()}</time>
            <span>
              {operation.description}
              {undone.has(operation.id) && " (undone)"}
            </span>
          </li>
        ))}
      </ol>
    </section>
  );
}
