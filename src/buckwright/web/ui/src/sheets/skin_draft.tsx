// The skin in a moment: coarse where lines moved, until the fine one is there.

import type { JSX } from "preact";
import { useFrame } from "../parts/fetched";
import { Space } from "../parts/space";
import type { Frame } from "../server";
import { busy, job, picked, work } from "../state";
import { skinParts, type Regions } from "./skin_view";

export interface DraftAbout {
  regions: { name: string; side: string; coarse: boolean }[];
  trouble: string;
}

const PLAIN = { range: 1, step: 0.25 };

/** Whether the lines stand and the skin over them is not worked out. */
export function isDraftWanted(): boolean {
  const state = (name: string): string | undefined =>
    job.value?.sheets.find((entry) => entry.name === name)?.state;
  return state("lines") === "done" && state("skin") === "stale";
}

/** The draft, or null where there is nothing to tell of one. */
export function useDraft(content: unknown): Frame<DraftAbout> | null {
  const wanted = isDraftWanted();
  const frame = useFrame<DraftAbout>("/api/draft", content, wanted);
  return wanted && frame && (frame.about.regions.length > 0 || frame.about.trouble) ? frame : null;
}

/** The frame of a draft as one of the skin, if there is anything to see in it. */
export function asSkin(draft: Frame<DraftAbout> | null): Frame<Regions> | null {
  if (!draft || draft.about.regions.length === 0) return null;
  return { about: draft.about.regions, floats: draft.floats, counts: draft.counts };
}

/** That what is seen is coarse, where, and when it will not be. */
export function DraftWords({ draft }: { draft: Frame<DraftAbout> | null }): JSX.Element | null {
  if (!draft) return null;
  const { regions, trouble } = draft.about;
  if (trouble) {
    return (
      <p class="draft failed" role="status">
        {trouble}
      </p>
    );
  }
  const coarse = new Set(regions.filter((region) => region.coarse).map((region) => region.name));
  const whole = regions.every((region) => region.coarse);
  const follows = busy.value && ["skin", "solve", "anew"].includes(work.value.work);
  return (
    <p class="draft" role="status">
      <b>Coarse</b>: {whole ? "the whole skin" : [...coarse].join(", ")}.{" "}
      {follows
        ? "The fine skin is being worked out."
        : "Do not build from it: the fine skin is not worked out yet."}
    </p>
  );
}

/** On the sheet of lines: what a pull does to the skin. */
export function DraftSkin({ content }: { content: unknown }): JSX.Element | null {
  const draft = useDraft(content);
  if (!draft) return null;
  const frame = asSkin(draft);
  return (
    <section class="part">
      <h2>The skin over these lines</h2>
      <DraftWords draft={draft} />
      {frame && (
        <Space
          label="The skin over these lines"
          of={[frame]}
          parts={() => skinParts(frame, null, "stripes", PLAIN)}
          onPick={(name) => {
            if (name === null) picked.value = null;
          }}
          said="Stripes must run without a kink, also where the line was pulled."
        />
      )}
    </section>
  );
}
