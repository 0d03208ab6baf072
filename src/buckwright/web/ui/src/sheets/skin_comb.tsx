// The section that is cut, in words.

import type { JSX } from "preact";
import { AXIS_WORDS, type Cut } from "../parts/space";
import type { Comb } from "../shape";
import { system } from "../state";
import { formatLength, formatRun } from "../units";

/** mm; bends slighter than this radius are called straight. */
const STRAIGHT = 50_000;

export const combPath = (cut: Cut | null): string =>
  cut ? `/api/frame/comb?axis=${cut.axis}&at=${cut.value.toFixed(1)}` : "/api/frame/comb";

export function CombWords({ comb, cut }: { comb: Comb | null; cut: Cut }): JSX.Element {
  const units = system.value;
  if (!comb) return <p role="status">Bending a batten along the section…</p>;
  const place = `${AXIS_WORDS[cut.axis]} ${formatLength(cut.value, units)}`;
  if (!comb.where) return <p role="status">There is no skin at {place}.</p>;
  const radius = formatLength(Math.round(comb.tightest), units);
  const [x, y, z] = comb.where.map((at) => formatLength(Math.round(at), units));
  return (
    <p role="status" class="comb">
      At {place} the skin is <b>{formatRun(comb.length, units)}</b> long
      {comb.pieces > 1 && ` in ${comb.pieces} pieces`}
      {comb.tightest < STRAIGHT ? (
        <>
          , and its tightest bend has a radius of <b>{radius}</b>, at x {x}, y {y}, z {z}. A tooth of{" "}
          {formatLength(comb.tooth, units)} is a radius of{" "}
          {formatLength(Math.round(comb.radius), units)}; a smooth row of tips is a fair section, a
          dent in the row is a soft one.
        </>
      ) : (
        ", and straight."
      )}
    </p>
  );
}
