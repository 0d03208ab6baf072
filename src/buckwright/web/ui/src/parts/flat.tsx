// A flat picture that can be moved about and come near to, with its words below it.

import { useSignal } from "@preact/signals";
import type { ComponentChildren, JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { PanZoom, type Box } from "../engines/panzoom";
import { hovered, pick } from "../state";
import { LETTER, useUnit } from "./measured";

interface Props {
  label: string;
  home: Box;
  /** Drawn again about its home when this changes. */
  of: string;
  kind?: "flat" | "photo";
  /** How much nearer than the whole it is, and how many of its units make one pixel. */
  children: (scale: number, unit: number) => ComponentChildren;
}

export function Flat({ label, home, of, kind = "flat", children }: Props): JSX.Element {
  const svg = useRef<SVGSVGElement>(null);
  const moves = useRef<PanZoom | null>(null);
  const scale = useSignal(1);
  const unit = useUnit(svg, home.width, home.height) / scale.value;

  useEffect(() => {
    if (!svg.current) return;
    moves.current = new PanZoom(svg.current, home, (_, now) => (scale.value = now));
    return () => moves.current?.remove();
  }, [of]);

  const take = (event: Event): void => {
    if (moves.current?.dragged) return;
    const name = named(event.target);
    if (name) pick(name);
  };

  return (
    <div class={kind}>
      <svg
        ref={svg}
        tabindex={0}
        role="application"
        aria-label={`${label}. Arrow keys move it, plus and minus come nearer and go back, F shows all.`}
        style={{ aspectRatio: `${home.width} / ${home.height}`, fontSize: `${LETTER * unit}px` }}
        onClick={take}
        onMouseOver={(event) => (hovered.value = named(event.target))}
        onMouseLeave={() => (hovered.value = null)}
      >
        {children(scale.value, unit)}
      </svg>
      <div class="corner-keys">
        <button type="button" aria-label="Nearer" onClick={() => moves.current?.zoom(1.4)}>
          +
        </button>
        <button type="button" aria-label="Farther" onClick={() => moves.current?.zoom(1 / 1.4)}>
          −
        </button>
        <button type="button" onClick={() => moves.current?.fit()}>
          All
        </button>
      </div>
    </div>
  );
}

function named(target: EventTarget | null): string | null {
  return target instanceof SVGElement ? (target.dataset["name"] ?? null) : null;
}

/** Points as an SVG path. */
export function pathOf(points: readonly (readonly [number, number])[], closed = false): string {
  const body = points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L");
  return points.length === 0 ? "" : `M${body}${closed ? "Z" : ""}`;
}

export function lineClass(name: string, picked: string | null, near: string | null): string {
  return `line${name === picked ? " picked" : ""}${name === near ? " near" : ""}`;
}
