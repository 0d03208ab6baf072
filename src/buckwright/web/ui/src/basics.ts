// What the server sends. Lengths are millimetres at full size in vehicle axes unless said.

export type Figure =
  | { mm: number }
  | { fine: number }
  | { run: number }
  | { m2: number }
  | { kg: number }
  | { text: string };
export type Words = (string | Figure)[];
export type Point2 = [number, number];
export type Point3 = [number, number, number];
export type State = "done" | "stale" | "not done";

export interface Outline {
  name: string;
  question: string;
  state: State;
  answer: Words | null;
  doubts: number;
}

export interface Operation {
  id: number;
  made: string;
  who: string;
  description: string;
  kind: "edit" | "undo" | "redo";
  subject: number | null;
}

export interface WorkStatus {
  work: string;
  state: "idle" | "running" | "stopping" | "done" | "stopped" | "failed";
  step: string;
  share: number;
  words: string;
}

export interface PacketState {
  revision: string;
  size: number;
  files: { name: string; size: number }[];
}

export interface JobState {
  name: string;
  revision: string;
  scale: number;
  wheelbase: number | null;
  number: number;
  sheets: Outline[];
  undo: string | null;
  redo: string | null;
  history: Operation[];
  packet: PacketState | null;
  work: WorkStatus;
}

export interface Finding {
  code: string;
  where: string;
  message: string;
  remedy: string;
  kind?: "doubt" | "note";
  /** mm, where it shows in space. */
  place?: [number, number, number];
  /** Others that say the same of another thing. */
  alike?: Finding[];
}

export interface SheetBase {
  name: string;
  lacking: string;
  findings: Finding[];
}
