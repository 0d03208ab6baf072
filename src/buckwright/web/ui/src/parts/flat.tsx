// A flat picture that can be moved about and come near to, with its words below it.

import { useSignal } from "@preact/signals";
import type { ComponentChildren, JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { PanZoom, type Box } from "../engines/panzoom";
import { hovered, pick } from "../state";
import type { Point2 } from "../types";
import { LETTER, useUnit } from "./measured";

/** What a press in the picture took hold of: it gets the moves instead of the picture. */
export interface Taken {
  move: (at: Point2) => void;
  /** `kept` false: the drag was broken off. */
  release: (kept: boolean) => void;
}

/** A place to come near to; another object with the same place goes there again. */
export interface Visit {
  at: Point2;
  wide: number;
}

interface Props {
  label: string;
  home: Box;
  /** Drawn again about its home when this changes. */
  of: string;
  kind?: "flat" | "photo";
  /** Asked at every press, with the place in the picture and the size of a pixel. */
  press?: ((at: Point2, unit: number) => Taken | null) | undefined;
  /** Asked at every click; true where it was taken, so that it picks nothing. */
  tap?: ((at: Point2, unit: number) => boolean) | undefined;
  visit?: Visit | null;
  /** What else keys do while it has the focus, and the words for it. */
  keys?: Record<string, () => void>;
  keyWords?: string;
  /** How much nearer than the whole it is, and how many of its units make one pixel. */
  children: (scale: number, unit: number) => ComponentChildren;
}

export function Flat(props: Props): JSX.Element {
  const { label, home, of, kind = "flat", press, tap, visit = null, keys, keyWords = "", children } = props;
  const svg = useRef<SVGSVGElement>(null);
  const moves = useRef<PanZoom | null>(null);
  const scale = useSignal(1);
  const unit = useUnit(svg, home.width, home.height) / scale.value;

  const asked = useRef<(at: Point2) => Taken | null>(() => null);
  asked.current = (at) => press?.(at, unit) ?? null;
  const took = useRef(false);

  useEffect(() => {
    if (!svg.current) return;
    return takePresses(svg.current, (at) => asked.current(at), took);
  }, [of]);
  useEffect(() => {
    if (!svg.current) return;
    moves.current = new PanZoom(svg.current, home, (_, now) => (scale.value = now));
    return () => moves.current?.remove();
  }, [of]);
  useEffect(() => {
    if (visit) moves.current?.visit({ x: visit.at[0], y: visit.at[1] }, visit.wide);
  }, [visit]);

  const take = (event: MouseEvent): void => {
    if (moves.current?.dragged || took.current) return;
    if (tap && svg.current && tap(placeIn(svg.current, event), unit)) return;
    const name = named(event.target);
    if (name) pick(name);
  };

  /** By keyboard: what is under the cross in the middle. */
  const tapMiddle = (): void => {
    const box = svg.current?.viewBox.baseVal;
    if (box) tap?.([box.x + box.width / 2, box.y + box.height / 2], unit);
  };

  return (
    <div class={kind}>
      <svg
        ref={svg}
        tabindex={0}
        role="application"
        aria-label={`${label}. Arrow keys move it, plus and minus come nearer and go back, F shows all.${tap ? " With Shift arrows move it a little; Enter takes what is under the cross in the middle." : ""}${keyWords}`}
        style={{ aspectRatio: `${home.width} / ${home.height}`, fontSize: `${LETTER * unit}px` }}
        onClick={take}
        onKeyDown={(event) => {
          const act = keys?.[event.key.toLowerCase()] ?? (event.key === "Enter" && tap ? tapMiddle : null);
          if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
          event.preventDefault();
          act();
        }}
        onMouseOver={(event) => (hovered.value = named(event.target))}
        onMouseLeave={() => (hovered.value = null)}
      >
        {children(scale.value, unit)}
      </svg>
      {tap && <span class="middle-cross" aria-hidden="true" />}
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

const SLACK = 4;

/** The place in the drawing under the pointer. */
function placeIn(svg: SVGSVGElement, event: MouseEvent): Point2 {
  const matrix = svg.getScreenCTM();
  if (!matrix) return [0, 0];
  const { x, y } = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
  return [x, y];
}

/** Gives presses to whatever takes hold of them, before the picture moves by them. */
function takePresses(
  svg: SVGSVGElement,
  press: (at: Point2) => Taken | null,
  took: { current: boolean },
): () => void {
  let taken: { id: number; by: Taken; x: number; y: number } | null = null;
  const place = (event: PointerEvent): Point2 => placeIn(svg, event);
  const down = (event: PointerEvent): void => {
    took.current = false;
    if (taken || event.button !== 0) return;
    const by = press(place(event));
    if (!by) return;
    taken = { id: event.pointerId, by, x: event.clientX, y: event.clientY };
    event.stopImmediatePropagation();
  };
  const move = (event: PointerEvent): void => {
    if (taken?.id !== event.pointerId) return;
    const far = Math.hypot(event.clientX - taken.x, event.clientY - taken.y);
    if (!took.current && far < SLACK) return;
    if (!took.current) svg.setPointerCapture(event.pointerId);
    took.current = true;
    taken.by.move(place(event));
  };
  const end = (kept: boolean) => (event: PointerEvent): void => {
    if (taken?.id !== event.pointerId) return;
    taken.by.release(kept && took.current);
    taken = null;
  };
  const [up, cancel] = [end(true), end(false)];
  const key = (event: KeyboardEvent): void => {
    if (event.key !== "Escape" || !taken) return;
    taken.by.release(false);
    taken = null;
  };
  svg.addEventListener("pointerdown", down, true);
  svg.addEventListener("pointermove", move);
  svg.addEventListener("pointerup", up);
  svg.addEventListener("pointercancel", cancel);
  addEventListener("keydown", key);
  return () => {
    svg.removeEventListener("pointerdown", down, true);
    svg.removeEventListener("pointermove", move);
    svg.removeEventListener("pointerup", up);
    svg.removeEventListener("pointercancel", cancel);
    removeEventListener("keydown", key);
  };
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
