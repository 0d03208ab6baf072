// What is being traced: the picture's traces, the clicks in the hand, and what is sent of them.
// The browser draws clicks at once; snapped stretches come from the server, which keeps what it sent.

import { getJson, post, Refusal } from "../server";
import { trouble } from "../state";
import type { Point2 } from "../types";
import { count, touched } from "./tracingcourse";
import {
  chosen,
  content,
  draft,
  found,
  kind,
  line,
  snap,
  tell,
  told,
  withClicks,
  words,
} from "./tracinghand";
import type { Draft, Kind, TraceRow, TracingContent } from "./tracingtypes";

export * from "./tracingcourse";
export * from "./tracinghand";
export type * from "./tracingtypes";

let ids = 0;
/** Places of new traces, known to edits that wait before the drafts learn of them. */
const places = new Map<number, number>();

/** Edits that were sent and not answered yet. */
let waiting = 0;
let queue: Promise<unknown> = Promise.resolve();
let asked = 0;

export async function load(digest: string): Promise<void> {
  const number = ++asked;
  const name = encodeURIComponent(line.value);
  try {
    const got = await getJson<TracingContent>(`/api/tracing/${digest}?line=${name}`);
    if (number !== asked) return;
    content.value = got;
    if (waiting === 0) settle();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    trouble.value = error;
  }
}

/** The draft as the job now has it: after an edit of ours, an undo, or somebody else's change. */
function settle(): void {
  const now = draft.value;
  if (!now || now.place === null) return;
  const row = content.value?.traces.find((t) => t.place === now.place && t.line === now.line);
  places.clear();
  if (!row) {
    draft.value = null;
    chosen.value = null;
  } else if (JSON.stringify(row.clicks) !== JSON.stringify(round(now.clicks)) || row.closed !== now.closed || row.kind !== now.kind) {
    take(row);
  }
}

const round = (clicks: Point2[]): Point2[] =>
  clicks.map(([u, v]) => [Math.round(u * 1000) / 1000, Math.round(v * 1000) / 1000]);

/** Take a trace into the hand. */
export function take(row: TraceRow): void {
  line.value = row.line;
  const next: Draft = { ...row, id: ++ids, clicks: [...row.clicks], stretches: [] };
  next.stretches = Array.from({ length: count(next) }, () => null);
  draft.value = next;
  if (chosen.value !== null && chosen.value >= next.clicks.length) chosen.value = null;
  void snap(next, next.stretches.map((_, k) => k));
}

export function finish(): void {
  draft.value = null;
  chosen.value = null;
  words.value = [];
}

/** Set a click at the end, or between two others, and keep it. */
export async function set(px: Point2, at?: number): Promise<void> {
  const here = content.value;
  if (!here) return;
  if (line.value.trim() === "") {
    trouble.value = new Refusal("It is not said yet which line this is.", "Choose a line, or type a new name.");
    return;
  }
  const now = draft.value;
  if (!now || now.line !== line.value || now.closed || kind.value === "point") {
    const fresh: Draft = { id: ++ids, place: null, line: line.value, kind: kind.value, closed: false, clicks: [px], stretches: [] };
    draft.value = fresh;
    chosen.value = 0;
    if (kind.value === "point") await keep(fresh, 0);
    else tell(`First click of ${line.value} at ${told(px)}. Go on along the line.`);
    return;
  }
  const place = at ?? now.clicks.length;
  const clicks = [...now.clicks.slice(0, place), px, ...now.clicks.slice(place)];
  const next = withClicks(now, clicks, place, 1);
  draft.value = next;
  chosen.value = place;
  await keep(next, place);
}

/** Several clicks at the end, as a pen drew them: one step of the history. */
export async function setAll(along: Point2[]): Promise<void> {
  const now = draft.value;
  const going = now && now.line === line.value && !now.closed ? now : null;
  const before = going?.clicks ?? [];
  const next: Draft = {
    id: going?.id ?? ++ids,
    place: going?.place ?? null,
    line: line.value,
    kind: going?.kind ?? kind.value,
    closed: false,
    clicks: [...before, ...along],
    stretches: [],
  };
  next.stretches = Array.from({ length: count(next) }, (_, k) => going?.stretches[k] ?? null);
  draft.value = next;
  chosen.value = next.clicks.length - 1;
  await keep(next, null);
}

/** Keep where a dragged click is now. */
export async function keepMoved(click: number): Promise<void> {
  if (draft.value) await keep(draft.value, click);
}

export async function takeBack(click: number | null = null): Promise<void> {
  const now = draft.value;
  if (!now) return;
  const place = click ?? now.clicks.length - 1;
  const clicks = now.clicks.filter((_, k) => k !== place);
  if (clicks.length < 2) {
    if (now.place !== null) await drop();
    else finish();
    tell(`The trace of ${now.line} is taken away.`);
    return;
  }
  const next = withClicks(now, clicks, Math.min(place, clicks.length - 1), -1);
  draft.value = next;
  chosen.value = Math.min(Math.max(place - 1, 0), clicks.length - 1);
  await keep(next, chosen.value);
  tell(`Click ${place + 1} taken back; ${clicks.length} are left.`);
}

export async function close(): Promise<void> {
  const now = draft.value;
  if (!now || now.closed) return;
  const next = withClicks({ ...now, closed: true }, now.clicks, now.clicks.length - 1, 0);
  draft.value = next;
  await keep(next, 0);
}

export async function hide(stretch: number): Promise<void> {
  await edit({ what: "hide stretch", stretch });
  finish();
}

export async function drop(): Promise<void> {
  const now = draft.value;
  if (now?.place != null) await edit({ what: "drop trace" });
  finish();
}

export async function turnRound(): Promise<void> {
  await edit({ what: "turn trace" });
}

/** Snap a trace that was made by hand, or leave the clicks of one as they are. */
export async function snapAs(to: Kind): Promise<void> {
  await edit({ what: "snap trace", kind: to });
}

/** An edit of the kept trace in the hand. */
async function edit(typed: object): Promise<void> {
  const now = draft.value;
  if (!now || now.place === null) return;
  await sent({ ...typed, place: now.place, picture: content.value?.name });
}

interface Answer {
  done: string | null;
  trace: TraceRow | null;
  words: string[];
}

async function keep(of: Draft, click: number | null): Promise<void> {
  if (of.kind !== "point" && of.clicks.length < 2) return;
  const near = click === null ? of.stretches.map((_, k) => k) : touched(of, click);
  // Sent at once, not after the snapping: edits go out in the order of the clicks, and nothing that
  // the server says in between may take back what the hand has done since.
  const shown = snap(of, near);
  const picture = content.value?.name;
  const answer = await sent(
    () => ({
      what: "set trace",
      place: of.place ?? places.get(of.id) ?? null,
      picture,
      line: of.line,
      kind: of.kind,
      closed: of.closed,
      clicks: of.clicks,
    }),
    ({ trace }) => {
      if (!trace) return;
      places.set(of.id, trace.place);
      const now = draft.value;
      if (now?.id === of.id && now.place === null) draft.value = { ...now, place: trace.place };
    },
  );
  await shown;
  if (!answer?.trace) return;
  words.value = answer.words;
  const at = click === null ? null : of.clicks[click];
  if (at) tell(`Click ${click! + 1} of ${of.clicks.length} at ${told(at)}. ${found(of)}`);
}

/** Edits go one after the other, so that each finds what the one before it made. */
async function sent(
  typed: object | (() => object),
  landed: (answer: Answer) => void = () => undefined,
): Promise<Answer | null> {
  waiting++;
  const turn = queue.then(async () => {
    try {
      const answer = await post<Answer>("/api/trace", typeof typed === "function" ? (typed as () => object)() : typed);
      trouble.value = null;
      // Before the next edit goes out: it may need to know where this one put things.
      landed(answer);
      return answer;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      trouble.value = error;
      return null;
    }
  });
  queue = turn;
  const answer = await turn;
  waiting--;
  // Whatever was refused must not stay on the picture as if it were kept.
  if (waiting === 0 && content.value) {
    if (!answer) restore();
    await load(content.value.sha256);
  }
  return answer;
}

function restore(): void {
  const now = draft.value;
  const row = content.value?.traces.find((t) => t.place === now?.place && t.line === now.line);
  if (row) take(row);
  else finish();
}
