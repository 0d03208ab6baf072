// The blank, flat: outline to cut, net outline, the shape map, and its lines with numbers.

import type { JSX } from "preact";
import { useEffect, useMemo, useRef } from "preact/hooks";
import { OrthographicCamera, Mesh, Scene } from "three";
import { skinBody } from "../engines/bodies";
import { drawOnto, whenRestored } from "../engines/gl";
import { discard, mapped } from "../engines/materials";
import { levelsOf } from "../engines/levels";
import { pathOf } from "../parts/flat";
import { LETTER, useUnit } from "../parts/measured";
import { percent } from "../parts/words";
import { system } from "../state";
import type { Frame } from "../server";
import type { PanelRow, Point2 } from "../types";
import { formatLength } from "../units";

export type FigureName = "area" | "major" | "minor";

interface Props {
  frame: Frame<{ name: string }> | null;
  figure: FigureName;
  range: number;
  step: number;
  panel: PanelRow;
}

export function BlankView({ frame, figure, range, step, panel }: Props): JSX.Element {
  const canvas = useRef<HTMLCanvasElement>(null);
  const [width, height] = panel.size;
  const margin = 0.06 * Math.max(width, height);
  const outline = useMemo(() => (frame ? pairs(frame.floats("outline")) : []), [frame]);
  const net = useMemo(() => (frame ? pairs(frame.floats("net")) : []), [frame]);
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

  const words = `${formatLength(width, system.value)} × ${formatLength(height, system.value)}`;
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
        >
          <path class="cut-outline" d={pathOf(outline.map(turned), true)} />
          <path class="net-outline" d={pathOf(net.map(turned), true)} />
          {levels.map((level) => (
            <g key={level.value}>
              <path class="level" d={level.path} />
              {level.at && (
                <text
                  class="level-name"
                  x={level.at[0]}
                  y={level.at[1] + 5 * unit}
                  text-anchor="middle"
                >
                  {percent(level.value, step < 0.01 ? 1 : 0)}
                </text>
              )}
            </g>
          ))}
        </svg>
      </div>
      <figcaption class="said">
        The blank, {words}: cut along the outer line, the inner one is the finished edge.
      </figcaption>
    </figure>
  );
}

const turned = ([x, y]: Point2): Point2 => [x, -y];

function pairs(numbers: Float32Array): Point2[] {
  return Array.from({ length: numbers.length / 2 }, (_, k) => [numbers[2 * k]!, numbers[2 * k + 1]!]);
}
