// Where planes cut meshes, and where a figure has a round value on them.

export type Axis = "x" | "y" | "z";
export const AXES: Axis[] = ["x", "y", "z"];

/** Pairs of points (x, y, z, x, y, z, ...) where the plane axis = value cuts the triangles. */
export function planeSection(
  vertices: Float32Array,
  triangles: Uint32Array,
  axis: Axis,
  value: number,
): number[] {
  const offset = AXES.indexOf(axis);
  const heights = new Float32Array(vertices.length / 3);
  for (let k = 0; k < heights.length; k++) heights[k] = vertices[3 * k + offset]! - value;
  return levelSegments(vertices, 3, triangles, heights);
}

/**
 * Pairs of points where `heights`, linear on each triangle, is nothing. `width` numbers belong to
 * each vertex. A height of exactly nothing counts as above.
 */
export function levelSegments(
  vertices: Float32Array,
  width: 2 | 3,
  triangles: Uint32Array,
  heights: Float32Array,
): number[] {
  const found: number[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = [triangles[t]!, triangles[t + 1]!, triangles[t + 2]!];
    const above = corners.map((c) => heights[c]! >= 0);
    if (above[0] === above[1] && above[1] === above[2]) continue;
    for (let k = 0; k < 3; k++) {
      if (above[k] === above[(k + 1) % 3]) continue;
      const [a, b] = [corners[k]!, corners[(k + 1) % 3]!];
      const part = heights[a]! / (heights[a]! - heights[b]!);
      for (let i = 0; i < width; i++) {
        const from = vertices[width * a + i]!;
        found.push(from + part * (vertices[width * b + i]! - from));
      }
    }
  }
  return found;
}
