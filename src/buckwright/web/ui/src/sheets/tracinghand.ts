// The trace in the hand: what is chosen, its clicks, and their snapped course from the server.

import { computed, signal } from "@preact/signals";
import { post, Refusal } from "../server";
import { said } from "../state";
import type { Point2 } from "../types";
import { count, touched } from "./tracingcourse";
import type { Draft, Kind, Snapped, TracingContent } from "./tracingtypes";

const SNAPPED: readonly Kind[] = ["tape", "edge", "silhouette"];

export const content = signal<TracingContent | null>(null);
export const line = signal("");
/** For a line that the job does not know yet. */
export const newKind = signal<Kind>("tape");
/** Whether the clicks of new traces stay as they are. */
export const byHand = signal(false);
export const draft = signal<Draft | null>(null);
/** The click that is picked, by its number. */
export const chosen = signal<number | null>(null);
export const words = signal<string[]>([]);
/** Where the line in hand would run on this picture, by its other traces as they stand now. */
export const fresh = signal<{ line: string; sha256: string; pieces: Point2[][] } | null>(null);

export const known = computed(() => content.value?.lines.find((l) => l.name === line.value) ?? null);
export const kind = computed((): Kind => {
  if (known.value?.kind === "point" || known.value?.kind === "silhouette") return known.value.kind;
  if (byHand.value) return "hand";
  return known.value?.kind ?? newKind.value;
});

let snapping = 0;

/** Ask for the snapped course of some stretches; only the newest answer counts. */
export async function snap(of: Draft, moved: number[]): Promise<void> {
  if (!SNAPPED.includes(of.kind) || of.clicks.length < (of.closed ? 3 : 2)) return;
  // What an overtaken answer left open is asked for again.
  const open = of.stretches.flatMap((one, k) => (one === null ? [k] : []));
  const stretches = [...new Set([...moved, ...open])];
  if (stretches.length === 0) return;
  const number = ++snapping;
  try {
    const answer = await post<{ stretches: Snapped[] }>("/api/snap", {
      picture: content.value?.name,
      clicks: of.clicks,
      kind: of.kind,
      closed: of.closed,
      stretches,
    });
    const now = draft.value;
    if (!now || number !== snapping || now.clicks !== of.clicks) return;
    const next = [...now.stretches];
    for (const one of answer.stretches) next[one.stretch] = one;
    draft.value = { ...now, stretches: next };
    words.value = next.flatMap((one) => one?.words ?? []);
  } catch (error) {
    // What cannot be is said when the clicks are kept; a drag on its way there may pass it.
    if (!(error instanceof Refusal)) throw error;
  }
}

/** The draft with other clicks, its stretches beside `moved` open until they are snapped. */
export function withClicks(of: Draft, clicks: Point2[], moved: number, shift: number): Draft {
  const next: Draft = { ...of, clicks, stretches: [] };
  const all = count(next);
  next.stretches = Array.from({ length: all }, (_, k) => {
    const from = k < moved ? k : k - shift;
    return of.stretches[from] ?? null;
  });
  for (const k of touched(next, moved)) next.stretches[k] = null;
  return next;
}

let dragging = false;
let pending: { of: Draft; click: number } | null = null;

/** Show a click somewhere else; kept only by `keep`. */
export function show(click: number, px: Point2): void {
  const now = draft.value;
  if (!now) return;
  const clicks = now.clicks.map((old, k): Point2 => (k === click ? px : old));
  const stretches = [...now.stretches];
  draft.value = { ...now, clicks, stretches };
  chosen.value = click;
  pending = { of: draft.value, click };
  if (!dragging) void follow();
}

/** One request at a time while a click is dragged, always of the newest place. */
async function follow(): Promise<void> {
  dragging = true;
  while (pending) {
    const { of, click } = pending;
    pending = null;
    await snap(of, touched(of, click));
  }
  dragging = false;
}

export function found(of: Draft): string {
  const now = draft.value?.stretches.filter((one) => one !== null) ?? [];
  if (!SNAPPED.includes(of.kind) || now.length === 0) return "";
  const seen = now.reduce((sum, one) => sum + one.seen, 0) / now.length;
  const name = of.kind === "silhouette" ? "outline" : of.kind;
  return `The ${name} is seen over ${Math.round(100 * seen)} % of the way.`;
}

export const told = ([u, v]: Point2): string => `${u.toFixed(1)}, ${v.toFixed(1)}`;

export function tell(text: string): void {
  said.value = text;
}
