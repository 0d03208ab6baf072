// Draws traces, clicks, guides and bands over a photograph: light lines on dark ones, so that they
// are seen on any picture.

import type { Place } from "./picture";

export type At = (px: Place) => Place;

const UNDER = "rgb(13 17 18 / 0.72)";
export const INKS = {
  trace: "#ffd23f",
  open: "#ffffff",
  unsure: "#ff8f5a",
  guide: "#7fe0ff",
  band: "#7fe0ff",
  cross: "#ffffff",
} as const;

export interface Stroke {
  colour: string;
  width: number;
  dash?: number[];
  closed?: boolean;
}

export function line(paper: CanvasRenderingContext2D, at: At, along: readonly Place[], stroke: Stroke): void {
  if (along.length < 2) return;
  paper.beginPath();
  for (const [k, px] of along.entries()) {
    const [x, y] = at(px);
    if (k === 0) paper.moveTo(x, y);
    else paper.lineTo(x, y);
  }
  if (stroke.closed) paper.closePath();
  paper.lineJoin = "round";
  paper.setLineDash([]);
  paper.strokeStyle = UNDER;
  paper.lineWidth = stroke.width + 2.4;
  paper.stroke();
  paper.setLineDash(stroke.dash ?? []);
  paper.strokeStyle = stroke.colour;
  paper.lineWidth = stroke.width;
  paper.stroke();
  paper.setLineDash([]);
}

export function click(paper: CanvasRenderingContext2D, at: At, px: Place, picked: boolean): void {
  const [x, y] = at(px);
  paper.beginPath();
  paper.arc(x, y, picked ? 7 : 5, 0, 2 * Math.PI);
  paper.strokeStyle = UNDER;
  paper.lineWidth = 4.5;
  paper.stroke();
  paper.strokeStyle = picked ? INKS.trace : INKS.open;
  paper.lineWidth = 2;
  paper.stroke();
}

export function cross(paper: CanvasRenderingContext2D, at: At, px: Place): void {
  const [x, y] = at(px);
  for (const [colour, width] of [
    [UNDER, 4],
    [INKS.cross, 1.4],
  ] as const) {
    paper.beginPath();
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]] as const) {
      paper.moveTo(x + 4 * dx, y + 4 * dy);
      paper.lineTo(x + 22 * dx, y + 22 * dy);
    }
    paper.strokeStyle = colour;
    paper.lineWidth = width;
    paper.stroke();
  }
}

export function name(paper: CanvasRenderingContext2D, at: At, px: Place, text: string): void {
  const [x, y] = at(px);
  paper.font = "600 16px Barlow, 'DejaVu Sans', sans-serif";
  paper.lineJoin = "round";
  paper.lineWidth = 4;
  paper.strokeStyle = "#0d1112";
  paper.strokeText(text, x + 8, y - 8);
  paper.fillStyle = "#ffffff";
  paper.fillText(text, x + 8, y - 8);
}

/** Where the clicks of another picture must lie here: a field between their curves, and these. */
export function bands(
  paper: CanvasRenderingContext2D,
  at: At,
  of: { bands: readonly (readonly Place[])[]; closed: boolean; numbers: readonly number[] },
): void {
  const { bands: curves, closed, numbers } = of;
  const last = closed ? curves.length : curves.length - 1;
  for (let k = 0; k < last; k++) {
    const [one, next] = [curves[k]!, curves[(k + 1) % curves.length]!];
    if (one.length < 2 || next.length < 2) continue;
    paper.beginPath();
    for (const [n, px] of [...one, ...[...next].reverse()].entries()) {
      const [x, y] = at(px);
      if (n === 0) paper.moveTo(x, y);
      else paper.lineTo(x, y);
    }
    paper.closePath();
    paper.fillStyle = "rgb(127 224 255 / 0.13)";
    paper.fill();
  }
  for (const [k, curve] of curves.entries()) {
    line(paper, at, curve, { colour: INKS.band, width: 1.1, dash: [7, 5] });
    const middle = curve[Math.floor(curve.length / 2)];
    if (middle) name(paper, at, middle, String(numbers[k]));
  }
}
