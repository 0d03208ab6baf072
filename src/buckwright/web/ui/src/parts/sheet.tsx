// One sheet from top to bottom: question, answer, picture and tables, doubts, what comes next.

import type { ComponentType, JSX } from "preact";
import { engaged, here, job, outline, sheet, startWork } from "../state";
import { SHEETS } from "../sheets";
import type { SheetBase } from "../types";
import { Findings } from "./findings";
import { stateWords } from "./route";
import { Sentence } from "./words";

export function JobSheet(): JSX.Element {
  const entry = outline.value;
  const all = job.value?.sheets ?? [];
  const content = sheet.value;
  if (!job.value) return <main id="sheet" />;
  if (!entry) {
    return (
      <main id="sheet">
        <h1>There is no such sheet.</h1>
        <p>
          Begin with <a href="#people">the first one</a>.
        </p>
      </main>
    );
  }
  const place = all.indexOf(entry);
  const ready = content !== null && content.name === here.value;
  const Body = SHEETS[entry.name] as ComponentType<{ content: SheetBase }> | undefined;
  return (
    <main id="sheet" data-sheet={entry.name} data-ready={ready}>
      <p class="kicker">
        Sheet {place + 1} of {all.length} <span aria-hidden="true">·</span> {entry.name}{" "}
        <span aria-hidden="true">·</span> {stateWords(entry)}
      </p>
      <h1 tabIndex={-1}>{entry.question}</h1>
      <p class="answer">
        {entry.answer ? <Sentence words={entry.answer} /> : "Not worked out yet."}
      </p>
      {ready && !entry.answer && <p class="lacking">{content.lacking}</p>}
      {entry.answer && entry.state === "stale" && entry.name !== "drawings" && <Stale />}
      {ready && Body && <Body key={entry.name} content={content} />}
      {ready && entry.answer && (
        <section class="part">
          <h2>Doubts, and what to do</h2>
          <Findings findings={content.findings} />
        </section>
      )}
      <Next place={place} />
    </main>
  );
}

function Stale(): JSX.Element {
  return (
    <p class="stale">
      The job has changed since; this answer is the older one.{" "}
      <button type="button" disabled={engaged.value} onClick={() => void startWork("solve")}>
        Work it out again
      </button>
    </p>
  );
}

function Next({ place }: { place: number }): JSX.Element | null {
  const next = job.value?.sheets[place + 1];
  const first = job.value?.sheets[0];
  if (!first) return null;
  const to = next ?? first;
  return (
    <footer class="next">
      <span>{next ? "What comes next" : "And round again"}</span>
      <a href={`#${to.name}`}>
        <span class="balloon" aria-hidden="true">
          {next ? place + 2 : 1}
        </span>
        {to.question}
      </a>
    </footer>
  );
}
