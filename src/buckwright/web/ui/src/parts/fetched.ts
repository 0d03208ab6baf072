// Frames of numbers, fetched when a sheet is shown and again when the job changes.

import { useEffect, useState } from "preact/hooks";
import { attempt, job } from "../state";
import { getFrame, type Frame } from "../server";

/** The frame at a path, or null until it is there; `when` false asks for nothing. */
export function useFrame<About>(path: string, content: unknown, when = true): Frame<About> | null {
  const [frame, setFrame] = useState<Frame<About> | null>(null);
  useEffect(() => {
    let wanted = when;
    if (!when) setFrame(null);
    else {
      void attempt(() => getFrame<About>(path)).then((got) => {
        if (wanted) setFrame(got);
      });
    }
    return () => {
      wanted = false;
    };
  }, [path, content, when, job.value?.number]);
  return frame;
}
