// Treatments of the skin as the server tells them.

export interface TreatmentRow {
  what: "meeting" | "trim" | "edge" | "bead" | "louvres";
  name: string;
  region: string;
  /** mm; null where it was not done. */
  length: number | null;
  closed: boolean;
  words: string;
  /** What the sheet says to a bead. */
  step: string;
}

type Place = [number, number, number];

/** Lengths in mm. */
export interface TrimAsked {
  name: string;
  region: string;
  by: "line" | "drawn" | "plane" | "meeting";
  line: string;
  through: Place[];
  closed: boolean;
  axis: string;
  value: number;
  along: Place | null;
  away: Place;
}

export interface EdgeAsked {
  region: string;
  edge: {
    along: string;
    treatment: string;
    width: number;
    wire: number;
    angle_deg: number;
    way: "in" | "out";
    /** Left out where the size is the same all along. */
    stations?: { at: number; width: number; angle_deg: number }[];
    between?: "straight" | "smooth";
  };
}

export interface BeadAsked {
  name: string;
  region: string;
  line: string;
  through: Place[];
  width: number;
  depth: number;
  radius: number;
  flat: number;
  way: "in" | "out";
  run_out: number;
  setback: number;
}

export interface LouvresAsked {
  name: string;
  region: string;
  at: Place;
  along: string;
  rows: number;
  columns: number;
  length: number;
  width: number;
  height: number;
  row_pitch: number;
  column_pitch: number;
  between: string[];
  opens: "plus" | "minus";
  /** Left out where they are struck on the formed panel. */
  slits?: "in the flat";
}

interface Asked<F, S> {
  field: F;
  place: number;
  words: string;
  spec: S;
}

export type AskedTreatment =
  | Asked<"trims", TrimAsked>
  | Asked<"edge_treatments", EdgeAsked>
  | Asked<"beads", BeadAsked>
  | Asked<"louvres", LouvresAsked>;

/** What a form begins with when something that is asked for is changed. */
export interface Start<S> {
  place: number;
  words: string;
  spec: S;
}

export interface Treatable {
  region: string;
  edges: string[];
  inner: string[];
}

export interface Treated {
  /** By how many mm the skin is set off for each face; inward is negative. */
  faces?: Record<string, number>;
  treatments?: TreatmentRow[];
  asked_treatments?: AskedTreatment[];
  treatable?: Treatable[];
  trim_lines?: string[];
  meetings?: string[];
}
