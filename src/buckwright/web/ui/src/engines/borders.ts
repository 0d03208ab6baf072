// Where areas of a mesh end, and what lies under a place on it.

/** Edges between triangles of different areas, and round the mesh, as runs of vertices by area. */
export function bordersOf(triangles: Uint32Array, places: Uint32Array): Map<number, number[][]> {
  const next = new Map<number, Map<number, number>>();
  const sides = new Map<string, number>();
  for (let t = 0; t < places.length; t++) {
    for (let k = 0; k < 3; k++) {
      sides.set(`${triangles[3 * t + k]} ${triangles[3 * t + ((k + 1) % 3)]}`, places[t]!);
    }
  }
  for (const [side, place] of sides) {
    const [a, b] = side.split(" ").map(Number) as [number, number];
    if (sides.get(`${b} ${a}`) === place) continue;
    if (!next.has(place)) next.set(place, new Map());
    next.get(place)!.set(a, b);
  }
  return new Map([...next].map(([place, steps]) => [place, runsOf(steps)]));
}

/** Runs of vertices that follow one another, each closed unless it breaks off. */
function runsOf(steps: Map<number, number>): number[][] {
  const runs: number[][] = [];
  while (steps.size > 0) {
    const start = steps.keys().next().value as number;
    const run = [start];
    let now = steps.get(start);
    steps.delete(start);
    while (now !== undefined) {
      run.push(now);
      const after = steps.get(now);
      steps.delete(now);
      now = after;
    }
    runs.push(run);
  }
  return runs;
}

/** The points of a run, `width` numbers each. */
export function pointsOf(points: Float32Array, run: ArrayLike<number>, width: 2 | 3): Float32Array {
  const found = new Float32Array(width * run.length);
  for (let k = 0; k < run.length; k++) {
    found.set(points.subarray(width * run[k]!, width * (run[k]! + 1)), width * k);
  }
  return found;
}

/** The triangle whose middle is nearest to a place; -1 where there are none. */
export function nearestTriangle(
  points: Float32Array,
  triangles: Uint32Array,
  place: ArrayLike<number>,
): number {
  const width = place.length;
  let [best, least] = [-1, Infinity];
  for (let t = 0; t < triangles.length / 3; t++) {
    let off = 0;
    for (let i = 0; i < width; i++) {
      let middle = 0;
      for (let k = 0; k < 3; k++) middle += points[width * triangles[3 * t + k]! + i]! / 3;
      off += (middle - place[i]!) ** 2;
    }
    if (off < least) [best, least] = [t, off];
  }
  return best;
}
