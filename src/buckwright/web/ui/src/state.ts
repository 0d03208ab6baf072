// What the page knows. Signals: whatever reads one is drawn again when it changes.

import { computed, effect, signal } from "@preact/signals";
import { getJson, keepSocket, post, Refusal } from "./server";
import type { JobState, SheetBase, WorkStatus } from "./types";
import type { System } from "./units";

export type Theme = "auto" | "light" | "dark";

const kept = (name: string): string | null => {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
};

const keep = (name: string, value: string): void => {
  try {
    localStorage.setItem(name, value);
  } catch {
    // A private window keeps nothing; the choice then lasts until it is closed.
  }
};

export const job = signal<JobState | null>(null);
export const sheet = signal<SheetBase | null>(null);
export const here = signal(location.hash.slice(1) || "people");
export const system = signal<System>(kept("system") === "inch" ? "inch" : "mm");
export const theme = signal<Theme>((kept("theme") as Theme | null) ?? "auto");
export const work = signal<WorkStatus>({
  work: "",
  state: "idle",
  step: "",
  share: 0,
  words: "",
});
export const connected = signal(true);
export const trouble = signal<Refusal | null>(null);
export const said = signal("");

/** The named thing that is picked on this sheet, and the one under the pointer. */
export const picked = signal<string | null>(null);
export const hovered = signal<string | null>(null);

export const outline = computed(() => job.value?.sheets.find((s) => s.name === here.value) ?? null);
export const busy = computed(() => ["running", "stopping"].includes(work.value.state));
/** Whether no other work can be begun: the fine skin that follows an edit gives way. */
export const engaged = computed(() => busy.value && work.value.work !== "skin");

const systemDark = matchMedia("(prefers-color-scheme: dark)");
const darkNow = signal(systemDark.matches);
systemDark.addEventListener("change", (event) => {
  darkNow.value = event.matches;
});
export const dark = computed(() => (theme.value === "auto" ? darkNow.value : theme.value === "dark"));

effect(() => {
  document.documentElement.dataset["theme"] = dark.value ? "dark" : "light";
  keep("theme", theme.value);
});
effect(() => keep("system", system.value));

export function pick(name: string | null): void {
  picked.value = picked.value === name ? null : name;
}

/** Run something that talks to the server; a refusal is shown, in words, at the top. */
export async function attempt<T>(action: () => Promise<T>): Promise<T | null> {
  try {
    const result = await action();
    trouble.value = null;
    return result;
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    trouble.value = error;
    return null;
  }
}

/** Questions asked so far: an answer that comes after a later one's is older than what is shown. */
const askedLast = { job: 0, sheet: 0 };

export async function loadJob(): Promise<void> {
  const turn = ++askedLast.job;
  await attempt(async () => {
    const now = await getJson<JobState>("/api/job");
    if (turn !== askedLast.job) return;
    job.value = now;
    work.value = now.work;
  });
}

export async function loadSheet(): Promise<void> {
  const name = here.value;
  const turn = ++askedLast.sheet;
  await attempt(async () => {
    const content = await getJson<SheetBase>(`/api/sheet/${name}`);
    if (here.value === name && turn === askedLast.sheet) sheet.value = content;
  });
}

export async function reload(): Promise<void> {
  await Promise.all([loadJob(), loadSheet()]);
}

export function goTo(name: string): void {
  location.hash = name;
}

export async function change(typed: object): Promise<boolean> {
  return (await attempt(() => post("/api/change", typed))) !== null;
}

export async function stepBackOrForth(which: "undo" | "redo"): Promise<void> {
  const answer = await attempt(() => post<{ done: string | null }>(`/api/${which}`));
  if (answer?.done) said.value = `${which === "undo" ? "Undone" : "Redone"}: ${answer.done}`;
}

export async function startWork(name: string, asked: object = {}): Promise<void> {
  await attempt(() => post(`/api/work/${encodeURIComponent(name)}`, asked));
}

export async function stopWork(): Promise<void> {
  await attempt(() => post("/api/stop"));
}

function hear(message: unknown): void {
  const { kind } = message as { kind: string };
  if (kind === "changed") void reload();
  if (kind !== "work") return;
  const before = work.value.state;
  work.value = message as WorkStatus;
  const ended = ["done", "stopped", "failed"].includes(work.value.state);
  if (ended && ["running", "stopping"].includes(before)) void reload();
}

export function begin(): void {
  addEventListener("hashchange", () => {
    here.value = location.hash.slice(1) || "people";
    sheet.value = null;
    picked.value = null;
    hovered.value = null;
    scrollTo(0, 0);
    void loadSheet();
  });
  let lost = false;
  keepSocket(hear, (open) => {
    connected.value = open;
    if (open && lost) void reload();
    lost = !open;
  });
  void reload();
}
