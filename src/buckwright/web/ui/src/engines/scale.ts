// The scale of the shape map: blue where metal shrinks or lies low, orange where it stretches or
// stands high, paper in between. Told apart with every kind of colour blindness, and printed with
// numbers. It does not change with day and night.

export type Colour = [number, number, number];

const STOPS: [number, Colour][] = [
  [-1.0, [23, 64, 120]],
  [-0.6, [58, 116, 178]],
  [-0.25, [150, 190, 222]],
  [0.0, [244, 240, 230]],
  [0.25, [246, 196, 138]],
  [0.6, [217, 126, 42]],
  [1.0, [140, 62, 8]],
];

/** Colour at -1 to 1, bytes of sRGB. */
export function colourAt(value: number): Colour {
  const at = Math.min(Math.max(value, -1), 1);
  for (let k = 1; k < STOPS.length; k++) {
    const [low, from] = STOPS[k - 1]!;
    const [high, to] = STOPS[k]!;
    if (at > high) continue;
    const part = (at - low) / (high - low);
    const mix = (i: 0 | 1 | 2): number => Math.round(from[i] + (to[i] - from[i]) * part);
    return [mix(0), mix(1), mix(2)];
  }
  return STOPS[STOPS.length - 1]![1];
}

/** 256 colours with alpha, from -1 to 1. */
export function colourTable(): Uint8Array {
  const table = new Uint8Array(256 * 4);
  for (let k = 0; k < 256; k++) table.set([...colourAt((2 * k) / 255 - 1), 255], 4 * k);
  return table;
}

export const css = (colour: Colour): string => `rgb(${colour.join(" ")})`;

/** A range around nothing that holds the values, and the step of its lines: round numbers. */
export function roundRange(values: Iterable<number>, least: number): { range: number; step: number } {
  let most = least;
  for (const value of values) if (Number.isFinite(value)) most = Math.max(most, Math.abs(value));
  const power = 10 ** Math.floor(Math.log10(most / 5));
  let best = { range: Infinity, step: most };
  for (const step of [1, 2, 2.5, 5, 10, 20].map((k) => k * power)) {
    const range = step * Math.max(3, Math.ceil(most / step - 1e-9));
    if (range <= 5 * step && range <= best.range) best = { range, step };
  }
  return best;
}
