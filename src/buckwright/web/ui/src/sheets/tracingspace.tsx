// The line that is being traced, in space at once: coloured by how sure it is.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { BufferAttribute, type TubeGeometry } from "three";
import { useEffect } from "preact/hooks";
import { pairsBody, rodBody } from "../engines/bodies";
import { inked, mapped } from "../engines/materials";
import { colourAt, css, roundRange } from "../engines/scale";
import type { Part } from "../engines/view3d";
import { Findings } from "../parts/findings";
import { Space } from "../parts/space";
import { Fine } from "../parts/words";
import { getJson } from "../server";
import { attempt, dark, system } from "../state";
import type { Finding, Point2, Point3 } from "../types";
import { formatFine } from "../units";
import * as work from "./tracingwork";

interface TracedLine {
  name: string;
  closed: boolean;
  points: Point3[];
  sigma: number[];
  conditioning: number[];
  pictures: string[];
  residual: number;
  pieces: Point2[][];
  findings: Finding[];
}

interface Answer {
  line: TracedLine | null;
  why: string;
}

const WAIT_MS = 250;

export function TracingSpace(): JSX.Element | null {
  const content = work.content.value;
  const answer = useSignal<Answer | null>(null);
  const name = work.line.value;
  useEffect(() => {
    let wanted = true;
    if (!name || !content) answer.value = null;
    const later = setTimeout(() => {
      if (!name || !content) return;
      const path = `/api/traced/${encodeURIComponent(name)}?picture=${content.sha256}`;
      void attempt(() => getJson<Answer>(path)).then((got) => {
        if (!wanted) return;
        answer.value = got;
        const { sha256 } = content;
        const pieces = got?.line?.pieces;
        work.fresh.value = pieces ? { line: name, sha256, pieces } : null;
      });
    }, WAIT_MS);
    return () => {
      wanted = false;
      clearTimeout(later);
    };
  }, [name, content]);
  if (!name || !content || !answer.value) return null;
  const { line, why } = answer.value;
  if (!line) return <p class="quiet trace-why">{why}</p>;
  return <InSpace line={line} content={content} />;
}

function InSpace({ line, content }: { line: TracedLine; content: work.TracingContent }): JSX.Element {
  const worst = Math.max(...line.sigma);
  const { range, step } = roundRange(line.sigma, 0.02);
  const rms = Math.sqrt(line.sigma.reduce((sum, s) => sum + s * s, 0) / line.sigma.length);
  return (
    <section class="part" data-traced={line.name} data-pictures={line.pictures.length}>
      <h2>{line.name} in space</h2>
      <p>
        From {line.pictures.length} pictures, good to about <Fine mm={rms} /> on the model, where it
        is worst to <Fine mm={worst} />; the traces miss it by {line.residual.toFixed(2)} px.
      </p>
      <Space
        label={`${line.name} in space, coloured by its doubt`}
        parts={() => parts(line, content, range, step)}
        of={[line, content.sha256, dark.value]}
        onPick={() => undefined}
        said={`Doubt along ${line.name}`}
      />
      <Scale range={range} step={step} />
      {line.findings.length > 0 && <Findings findings={line.findings} />}
    </section>
  );
}

function parts(line: TracedLine, content: work.TracingContent, range: number, step: number): Part[] {
  const axis = new Float32Array(line.points.flat());
  const size = span(line.points);
  const body = rodBody(axis, size / 90, line.closed) as TubeGeometry;
  const rings = body.parameters.tubularSegments;
  const figure = new Float32Array(body.getAttribute("position").count);
  const round = body.parameters.radialSegments + 1;
  for (let k = 0; k < figure.length; k++) {
    const share = Math.floor(k / round) / rings;
    figure[k] = line.sigma[Math.min(Math.round(share * (line.sigma.length - 1)), line.sigma.length - 1)]!;
  }
  body.setAttribute("figure", new BufferAttribute(figure, 1));
  const pairs = content.space
    .filter((other) => other.line !== line.name)
    .flatMap(({ points, closed }) => pairsOf(points, closed));
  return [
    { name: line.name, body, material: mapped(range, step) },
    { name: null, body: pairsBody(pairs), material: inked(dark.value ? 0x7c8780 : 0x8b8472), lines: true },
  ];
}

export function span(points: Point3[]): number {
  const along = [0, 1, 2].map((k) => points.map((point) => point[k as 0 | 1 | 2]));
  return Math.hypot(...along.map((values) => Math.max(...values) - Math.min(...values)));
}

export function pairsOf(points: Point3[], closed: boolean): number[] {
  const pairs: number[] = [];
  for (let k = closed ? 0 : 1; k < points.length; k++) {
    pairs.push(...points.at(k - 1)!, ...points[k]!);
  }
  return pairs;
}

function Scale({ range, step }: { range: number; step: number }): JSX.Element {
  const marks = Array.from({ length: Math.round(range / step) + 1 }, (_, k) => k * step);
  const place = (value: number): number => 30 + (340 * value) / range;
  return (
    <svg class="legend" viewBox="0 0 400 62" role="img" aria-label="Scale of the doubt">
      <text x="30" y="13">
        sure
      </text>
      <text x="370" y="13" text-anchor="end">
        in doubt
      </text>
      {Array.from({ length: 48 }, (_, k) => (
        <rect
          key={k}
          x={30 + (340 * k) / 48}
          y="20"
          width={340 / 48 + 0.6}
          height="16"
          fill={css(colourAt((k + 0.5) / 48))}
        />
      ))}
      {marks.map((mark) => (
        <g key={mark}>
          <path d={`M${place(mark)} 20v20`} class="tick" />
          <text x={place(mark)} y="56" text-anchor="middle">
            {formatFine(mark, system.value)}
          </text>
        </g>
      ))}
    </svg>
  );
}
