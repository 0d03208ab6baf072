// Cuts polylines by planes and snaps numbers, as the page does, for Python to check.

import { readFileSync } from "node:fs";
import {
  axisPlane,
  cantedPlane,
  inSpace,
  onPaper,
  passes,
  snapTo,
  strokeOf,
  uprightPlane,
  type Plane,
} from "../../src/buckwright/web/ui/src/engines/planes.ts";

type Triple = [number, number, number];
interface Case {
  points: Triple[];
  closed: boolean;
  a: Triple;
  b: Triple;
  at: number;
}

const cases = JSON.parse(readFileSync(process.argv[2]!, "utf8")) as { cuts: Case[]; snaps: [number, number | null][] };

const told = (plane: Plane | null, one: Case): object | null =>
  plane && {
    ...plane,
    passes: passes(one.points, one.closed, plane).map((pass) => {
      const paper = onPaper(plane, pass.point);
      return { ...pass, paper, back: inSpace(plane, paper) };
    }),
    strokes: [0, 1, 2].map((axis) => strokeOf(plane, axis as 0 | 1 | 2, [-900, -900, 0], [900, 900, 900])),
  };

console.log(
  JSON.stringify({
    cuts: cases.cuts.map((one) => [
      told(axisPlane(0, one.at), one),
      told(axisPlane(1, one.at), one),
      told(axisPlane(2, one.at), one),
      told(uprightPlane(one.a, one.b), one),
      told(cantedPlane(one.a, one.b), one),
    ]),
    snaps: cases.snaps.map(([value, spacing]) => snapTo(value, spacing)),
  }),
);
