// The blank, flat: outline to cut, net outline, the shape map, and what is marked on it.

import type { ComponentChildren, JSX } from "preact";
import { useEffect, useMemo, useRef } from "preact/hooks";
import { OrthographicCamera, Mesh, Scene } from "three";
import { skinBody } from "../engines/bodies";
import { bordersOf, pointsOf } from "../engines/borders";
import { drawOnto, whenRestored } from "../engines/gl";
import { discard, mapped } from "../engines/materials";
import { levelsOf } from "../engines/levels";
import { pathOf } from "../parts/flat";
import { LETTER, useUnit } from "../parts/measured";
import { percent } from "../parts/words";
import { system } from "../state";
import type { Frame } from "../server";
import type { AreaRow, PanelRow, Point2 } from "../types";
import { formatLength } from "../units";

export type FigureName = "area" | "major" | "minor";

export interface PanelFrame {
  name: string;
  edges: { name: string; closed: boolean }[];
  lines: { name: string; closed: boolean }[];
  openings: number;
  bends: number;
}

interface Props {
  frame: Frame<PanelFrame> | null;
  figure: FigureName;
  range: number;
  step: number;
  panel: PanelRow;
  /** Place of the area that is picked; -1 for none. */
  picked?: number;
  onPick?: (at: Point2) => void;
  /** Drawn besides, y downwards; given what one pixel is. */
  children?: (unit: number) => ComponentChildren;
}

export function BlankView(props: Props): JSX.Element {
  const { frame, figure, range, step, panel, picked = -1, onPick, children } = props;
  const canvas = useRef<HTMLCanvasElement>(null);
  const [width, height] = panel.size;
  const margin = 0.06 * Math.max(width, height);
  const outline = useMemo(() => (frame ? pairs(frame.floats("outline")) : []), [frame]);
  const low: Point2 = [Math.min(...outline.map((p) => p[0])), Math.min(...outline.map((p) => p[1]))];
  const box = {
    left: (frame ? low[0] : 0) - margin,
    bottom: (frame ? low[1] : 0) - margin,
    width: width + 2 * margin,
    height: height + 2 * margin,
  };
  const svg = useRef<SVGSVGElement>(null);
  const unit = useUnit(svg, box.width, box.height);
  const levels = useMemo(
    () =>
      frame && unit > 0
        ? levelsOf(frame.floats("flat"), frame.counts("triangles"), frame.floats(figure), {
            range,
            step,
            room: 3 * LETTER * unit,
          })
        : [],
    [frame, figure, range, step, unit],
  );
  const borders = useMemo(
    () => (frame ? bordersOf(frame.counts("triangles"), frame.counts("places")) : new Map()),
    [frame],
  );

  useEffect(() => {
    const paper = canvas.current;
    if (!paper || !frame) return;
    const scene = new Scene();
    const flat = frame.floats("flat");
    const points = new Float32Array((flat.length / 2) * 3);
    for (let k = 0; k < flat.length / 2; k++) points.set(flat.subarray(2 * k, 2 * k + 2), 3 * k);
    const body = skinBody(points, frame.counts("triangles"), frame.floats(figure));
    // The lines are drawn in the SVG above, with their numbers.
    const material = mapped(range, 0);
    scene.add(new Mesh(body, material));
    const camera = new OrthographicCamera(
      box.left,
      box.left + box.width,
      box.bottom + box.height,
      box.bottom,
      -10,
      10,
    );
    const draw = (): void => {
      const ratio = Math.min(devicePixelRatio, 2);
      paper.width = Math.round(paper.clientWidth * ratio);
      paper.height = Math.round(paper.clientHeight * ratio);
      drawOnto(paper, scene, camera);
      paper.dataset["drawn"] = "yes";
    };
    draw();
    const watch = new ResizeObserver(draw);
    watch.observe(paper);
    const forget = whenRestored(draw);
    return () => {
      watch.disconnect();
      forget();
      body.dispose();
      discard(material);
    };
  }, [frame, figure, range, step]);

  const take = (event: MouseEvent): void => {
    const drawing = svg.current;
    const turn = drawing?.getScreenCTM()?.inverse();
    if (!drawing || !turn || !onPick) return;
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(turn);
    onPick([at.x, -at.y]);
  };

  const words = `${formatLength(width, system.value)} × ${formatLength(height, system.value)}`;
  const edges = (runs: number[][]): string =>
    frame ? runs.map((run) => runPath(frame.floats("flat"), run)).join("") : "";
  return (
    <figure class="view blank">
      <div class="blank-paper" style={{ aspectRatio: `${box.width} / ${box.height}` }}>
        <canvas ref={canvas} />
        <svg
          ref={svg}
          style={{ fontSize: `${LETTER * unit}px` }}
          viewBox={`${box.left} ${-box.bottom - box.height} ${box.width} ${box.height}`}
          role="img"
          aria-label={`The blank of ${panel.name}, ${words}, with lines of equal stretch and shrink`}
          class={onPick ? "takes" : ""}
          onClick={take}
        >
          <path class="cut-outline" d={pathOf(outline.map(turned), true)} />
          {frame && <Inside frame={frame} panel={panel} />}
          {!children && levels.map((level) => <path key={level.value} class="level" d={level.path} />)}
          <path class="area-edge on" d={picked >= 0 ? edges(borders.get(picked + 1) ?? []) : ""} />
          {!children &&
            levels.map(
              (level) =>
                level.at &&
                !covered(panel, level.at, 34 * unit) && (
                  <text
                    key={level.value}
                    class="level-name"
                    x={level.at[0]}
                    y={level.at[1] + 5 * unit}
                    text-anchor="middle"
                  >
                    {percent(level.value, step < 0.01 ? 1 : 0)}
                  </text>
                ),
            )}
          {!children && <Balloons panel={panel} unit={unit} picked={picked} />}
          {children?.(unit)}
        </svg>
      </div>
      <figcaption class="said">
        The blank, {words}: cut along the outer line; dashed, the finished edge. Up is across the
        grain.
      </figcaption>
    </figure>
  );
}

/** Openings, bend lines, notches, match marks and the centre line. */
function Inside({ frame, panel }: { frame: Frame<PanelFrame>; panel: PanelRow }): JSX.Element {
  const named = (letter: string, count: number): Point2[][] =>
    Array.from({ length: count }, (_, k) => pairs(frame.floats(`${letter}${k}`)));
  const drawn = (paths: Point2[][], closed: boolean): string =>
    paths.map((path) => pathOf(path.map(turned), closed)).join("");
  return (
    <>
      <path class="net-outline" d={pathOf(pairs(frame.floats("net")).map(turned), true)} />
      <path class="net-outline" d={drawn(named("o", frame.about.openings), true)} />
      <path class="bend-line" d={drawn(named("b", frame.about.bends), false)} />
      <path class="centre-line" d={drawn(panel.centre_line, false)} />
      <path class="cut-outline" d={drawn(panel.notches, false)} />
    </>
  );
}

/** Areas that are only bent have no number on the blank: they are what is left. */
const numbered = (area: AreaRow): boolean => area.order > 0 && area.kind !== "leave";

/** Whether a place, y downwards, lies under the number of an area. */
function covered(panel: PanelRow, [x, y]: Point2, room: number): boolean {
  return panel.areas.some(
    (area) => numbered(area) && Math.hypot(area.flat[0] - x, -area.flat[1] - y) < room,
  );
}

function Balloons(props: { panel: PanelRow; unit: number; picked: number }): JSX.Element {
  const { panel, unit, picked } = props;
  return (
    <>
      {panel.areas.map(
        (area, k) =>
          numbered(area) && (
            <g key={k} class={`order${k === picked ? " on" : ""}`}>
              <circle cx={area.flat[0]} cy={-area.flat[1]} r={13 * unit} />
              <text x={area.flat[0]} y={-area.flat[1] + 5.5 * unit} text-anchor="middle">
                {area.order}
              </text>
            </g>
          ),
      )}
    </>
  );
}

export const turned = ([x, y]: Point2): Point2 => [x, -y];

export function runPath(flat: Float32Array, run: ArrayLike<number>, closed = false): string {
  return pathOf(pairs(pointsOf(flat, run, 2)).map(turned), closed);
}

export function pairs(numbers: Float32Array): Point2[] {
  return Array.from({ length: numbers.length / 2 }, (_, k) => [numbers[2 * k]!, numbers[2 * k + 1]!]);
}
