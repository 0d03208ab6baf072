// Runs the cases of tests/data/battens.json through the page's own engine; prints what it found.
// node pull_cases.ts CASES.json: a small runner, so that no test needs a browser.

import { readFileSync } from "node:fs";
import {
  followed,
  gripAt,
  pointAt,
  pull,
  type Free,
  type HeldBatten,
  type Triple,
} from "../../src/buckwright/web/ui/src/engines/batten.ts";
import {
  bendAfter,
  departed,
  steppedBack,
  type Zone,
} from "../../src/buckwright/web/ui/src/engines/departed.ts";

interface Case {
  name: string;
  batten: HeldBatten;
  grips: [number, Free][];
  shares: number[];
}

const given = JSON.parse(readFileSync(process.argv[2]!, "utf8")) as {
  zones: Zone[];
  cases: Case[];
};
const mirror = (point: Free): Free => [point[0], point[1] === null ? null : -point[1], point[2]];

const answers = given.cases.map(({ name, batten, grips, shares }) => {
  const long = batten.end - batten.start;
  const felt = grips.map(([share, point]) =>
    gripAt(batten, batten.start + share * long, batten.mirrored ? mirror(point) : point),
  );
  const start = performance.now();
  const lie = pull(batten, felt);
  const spent = performance.now() - start;
  const read = (derivative: number) => (share: number): Triple =>
    pointAt(batten, lie.control, batten.start + share * long, derivative);
  const points = shares.map(read(0));
  const bends = shares.map((share) => bendAfter(read(0)(share), read(1)(share), read(2)(share), []));
  const there = points.map((point) => departed(point, given.zones));
  const inside = Array.from({ length: 13 }, (_, k) => 0.05 + 0.075 * k);
  const combed = inside.map((s) => bendAfter(read(0)(s), read(1)(s), read(2)(s), given.zones));
  return {
    name,
    lie: {
      knots: batten.knots,
      control: lie.control,
      closed: batten.closed,
      start: batten.start,
      end: batten.end,
      bends: combed,
    },
    spent,
    points,
    bends,
    departed: there,
    back: there.map((point) => point.map((at, k) => steppedBack(at, k as 0 | 1 | 2, given.zones))),
    others: Object.fromEntries(batten.followers.map((f) => [f.names[0], followed(f, lie.moves)])),
  };
});
process.stdout.write(JSON.stringify(answers));
