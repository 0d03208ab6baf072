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

export interface AskedTreatment {
  field: "trims" | "edge_treatments" | "beads" | "louvres";
  place: number;
  words: string;
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
