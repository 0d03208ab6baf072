// The route card: the sheets of the job with their state, and working them out.

import type { JSX } from "preact";
import { busy, engaged, here, job, startWork, stopWork, work } from "../state";
import type { Outline, State } from "../types";

export const STATE_WORDS: Record<State, string> = {
  done: "worked out",
  stale: "older than the job",
  "not done": "not worked out yet",
};

const DRAWING_WORDS: Record<State, string> = {
  done: "packet made",
  stale: "packet older than the job",
  "not done": "packet not made yet",
};

export function stateWords(entry: Outline): string {
  return (entry.name === "drawings" ? DRAWING_WORDS : STATE_WORDS)[entry.state];
}

export function RouteCard(): JSX.Element {
  const sheets = job.value?.sheets ?? [];
  return (
    <nav aria-label="Sheets of this job" class="route">
      <ol>
        {sheets.map((entry, place) => (
          <li key={entry.name} class={`is-${entry.state.replace(" ", "-")}`}>
            <a href={`#${entry.name}`} aria-current={entry.name === here.value ? "page" : undefined}>
              <span class="balloon" aria-hidden="true">
                {place + 1}
              </span>
              <span class="what">
                <span class="step">{entry.name}</span>
                <span class="question">{entry.question}</span>
              </span>
              <StateMark state={entry.state} words={stateWords(entry)} />
            </a>
          </li>
        ))}
      </ol>
      <WorkBar />
    </nav>
  );
}

function StateMark({ state, words }: { state: State; words: string }): JSX.Element {
  return (
    <span class="state" title={words}>
      <svg viewBox="0 0 20 20" aria-hidden="true">
        {state === "done" && <path d="M4 11l4 4 8-10" />}
        {state === "stale" && <path d="M10 4v7M10 15v1.5" />}
        {state === "not done" && <circle cx="10" cy="10" r="5" />}
      </svg>
      <span class="hidden">, {words}</span>
    </span>
  );
}

const WORK_WORDS: Record<string, string> = {
  solve: "Working it out",
  anew: "Working it all out anew",
  packet: "Making the packet",
  seams: "Searching for seams",
  skin: "Working out the fine skin",
};

function WorkBar(): JSX.Element {
  const now = work.value;
  const waiting = (job.value?.sheets ?? []).filter(
    (entry) => entry.state !== "done" && entry.name !== "drawings",
  ).length;
  if (busy.value) {
    const words = WORK_WORDS[now.work] ?? now.work;
    return (
      <div class="work">
        <label for="progress">
          {now.state === "stopping" ? "Stopping after this part" : words}
          {now.step && `: ${now.step}`}
        </label>
        <progress id="progress" max={1} value={now.share} />
        <button type="button" disabled={now.state === "stopping"} onClick={() => void stopWork()}>
          Cancel
        </button>
        {!engaged.value && now.state === "running" && (
          <button type="button" onClick={() => void startWork("solve")}>
            Work all of it out
          </button>
        )}
      </div>
    );
  }
  return (
    <div class="work">
      {now.state === "stopped" && <p role="status">Stopped. What was finished is kept.</p>}
      {now.state === "failed" && (
        <p class="failed" role="alert">
          {now.words}
        </p>
      )}
      {waiting > 0 ? (
        <button type="button" class="main" onClick={() => void startWork("solve")}>
          Work it out again
        </button>
      ) : (
        <button type="button" onClick={() => void startWork("anew")}>
          Work it all out anew
        </button>
      )}
    </div>
  );
}
