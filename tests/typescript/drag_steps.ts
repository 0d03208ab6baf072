// node drag_steps.ts FELT.json: what one step of a drag costs, the line drawn with its comb.

import { readFileSync } from "node:fs";
import {
  followed,
  gripAt,
  pointAt,
  pull,
  rowAt,
  type HeldBatten,
} from "../../src/buckwright/web/ui/src/engines/batten.ts";
import { bendAfter } from "../../src/buckwright/web/ui/src/engines/departed.ts";

const held = JSON.parse(readFileSync(process.argv[2]!, "utf8")) as HeldBatten;
const long = held.end - held.start;
const start = pointAt(held, held.control, held.start + 0.4 * long);
const spent: number[] = [];
const worked: number[] = [];
let seen = 0;
for (let step = 0; step < 130; step++) {
  const before = performance.now();
  const used = process.cpuUsage();
  const grip = gripAt(held, held.start + 0.4 * long, [start[0], null, start[2] + 0.1 * step]);
  const lie = pull(held, [grip]);
  for (let k = 0; k <= 120; k++) {
    const at = held.start + (long * k) / 120;
    const [point, run, turn] = [0, 1, 2].map((nu) => pointAt(held, lie.control, at, nu));
    seen += bendAfter(point!, run!, turn!, [])[2] + rowAt(held, at)[0]!;
  }
  for (const follower of held.followers) seen += followed(follower, lie.moves).length;
  spent.push(performance.now() - before);
  const { user, system } = process.cpuUsage(used);
  worked.push((user + system) / 1000);
}
const inOrder = (values: number[]): number[] => values.slice(30).sort((a, b) => a - b);
const [clock, cpu] = [inOrder(spent), inOrder(worked)];
process.stdout.write(
  JSON.stringify({ median: clock[50], cpu: cpu[50], cpu95: cpu[95], first: worked[0], seen }),
);
