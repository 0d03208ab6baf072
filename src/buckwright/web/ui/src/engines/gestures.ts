// Pen, fingers and mouse on a picture: taps, drags of a handle, strokes, moving about, pinching.
// A pen draws; while it is down fingers are taken for the palm. One finger held still aims.

import type { Place, PictureView } from "./picture";

export interface Hand {
  /** The handle at a place on the screen, `reach` CSS pixels round it; null for none. */
  grip: (at: Place, reach: number) => number | null;
  tap: (at: Place, reach: number) => void;
  drag: (grip: number, at: Place) => void;
  /** The handle was let go; `kept` false: it springs back. */
  drop: (grip: number, kept: boolean) => void;
  /** A pen was drawn along these places of the picture. */
  stroke: (along: Place[]) => void;
  /** Where the pointer is, in the picture; null when it has left. */
  hover: (at: Place | null) => void;
  /** Where a finger that is held still aims; null when it no longer does. */
  aim: (at: Place | null) => void;
}

type Doing =
  | { kind: "tap" | "pan"; id: number }
  | { kind: "grip"; id: number; grip: number; moved: boolean }
  | { kind: "stroke"; id: number; along: Place[] }
  | { kind: "aim"; id: number }
  | { kind: "pinch" };

const SLACK = 5;
const HOLD_MS = 320;
const FINGER = 24;
const POINTER = 11;
/** A finger hides what it aims at, so the place lies above it. */
const ABOVE_FINGER = 46;

export class Gestures {
  private readonly down = new Map<number, { at: Place; from: Place; touch: boolean }>();
  private doing: Doing | null = null;
  private hold = 0;

  constructor(
    private readonly host: HTMLElement,
    private readonly view: PictureView,
    private readonly hand: Hand,
  ) {
    host.addEventListener("pointerdown", this.press);
    host.addEventListener("pointermove", this.move);
    host.addEventListener("pointerup", this.release);
    host.addEventListener("pointercancel", this.cancel);
    host.addEventListener("lostpointercapture", this.cancel);
    host.addEventListener("pointerleave", this.leave);
    host.addEventListener("contextmenu", this.noMenu);
  }

  /** Break off what is going on: Escape. */
  breakOff(): boolean {
    const { doing } = this;
    if (!doing) return false;
    this.end(false);
    this.doing = null;
    return doing.kind === "grip" || doing.kind === "stroke" || doing.kind === "aim";
  }

  remove(): void {
    clearTimeout(this.hold);
    this.host.removeEventListener("pointerdown", this.press);
    this.host.removeEventListener("pointermove", this.move);
    this.host.removeEventListener("pointerup", this.release);
    this.host.removeEventListener("pointercancel", this.cancel);
    this.host.removeEventListener("lostpointercapture", this.cancel);
    this.host.removeEventListener("pointerleave", this.leave);
    this.host.removeEventListener("contextmenu", this.noMenu);
  }

  private readonly press = (event: PointerEvent): void => {
    if (event.target instanceof HTMLButtonElement) return;
    const touch = event.pointerType === "touch";
    if (touch && this.doing?.kind === "stroke") return;
    this.host.focus({ preventScroll: true });
    const at = this.view.placeOf(event);
    this.down.set(event.pointerId, { at, from: at, touch });
    this.host.setPointerCapture(event.pointerId);
    if (this.down.size > 1) {
      this.end(false);
      this.doing = { kind: "pinch" };
      return;
    }
    this.doing = this.begin(event, at, touch);
  };

  private begin(event: PointerEvent, at: Place, touch: boolean): Doing {
    const id = event.pointerId;
    if (event.button !== 0) return { kind: "pan", id };
    const grip = this.hand.grip(at, touch ? FINGER : POINTER);
    if (grip !== null) return { kind: "grip", id, grip, moved: false };
    if (event.pointerType === "pen") {
      return { kind: "stroke", id, along: [this.view.toPicture(at)] };
    }
    if (touch) this.hold = window.setTimeout(() => this.startAim(id), HOLD_MS);
    return { kind: "tap", id };
  }

  private startAim(id: number): void {
    const finger = this.down.get(id);
    if (this.doing?.kind !== "tap" || this.doing.id !== id || !finger) return;
    this.doing = { kind: "aim", id };
    this.hand.aim(this.aimed(finger.at));
  }

  private aimed(at: Place): Place {
    return this.view.toPicture([at[0], at[1] - ABOVE_FINGER]);
  }

  private readonly move = (event: PointerEvent): void => {
    const now = this.view.placeOf(event);
    const pointer = this.down.get(event.pointerId);
    if (!pointer) {
      if (event.pointerType !== "touch") this.hand.hover(this.view.toPicture(now));
      return;
    }
    const before = pointer.at;
    pointer.at = now;
    const far = Math.hypot(now[0] - pointer.from[0], now[1] - pointer.from[1]);
    const { doing } = this;
    if (!doing) return;
    if (doing.kind === "pinch") return this.pinch(event.pointerId, before, now);
    if (doing.id !== event.pointerId) return;
    if (doing.kind === "tap" && far > SLACK) {
      clearTimeout(this.hold);
      this.doing = { kind: "pan", id: doing.id };
      this.view.pan(now[0] - pointer.from[0], now[1] - pointer.from[1]);
    } else if (doing.kind === "pan") {
      this.view.pan(now[0] - before[0], now[1] - before[1]);
    } else if (doing.kind === "aim") {
      this.hand.aim(this.aimed(now));
    } else if (doing.kind === "stroke") {
      doing.along.push(this.view.toPicture(now));
      this.hand.hover(this.view.toPicture(now));
    } else if (doing.kind === "grip" && (doing.moved || far > SLACK)) {
      doing.moved = true;
      this.hand.drag(doing.grip, this.view.toPicture(now));
    }
  };

  private pinch(id: number, before: Place, now: Place): void {
    const other = [...this.down].find(([key]) => key !== id)?.[1].at;
    if (!other) return;
    const span = (a: Place): number => Math.hypot(a[0] - other[0], a[1] - other[1]);
    this.view.pan((now[0] - before[0]) / 2, (now[1] - before[1]) / 2);
    if (span(before) > 0 && span(now) > 0) {
      const middle: Place = [(now[0] + other[0]) / 2, (now[1] + other[1]) / 2];
      this.view.zoom(span(now) / span(before), middle);
    }
  }

  private readonly release = (event: PointerEvent): void => {
    const pointer = this.down.get(event.pointerId);
    this.down.delete(event.pointerId);
    if (!pointer) return;
    const { doing } = this;
    if (doing?.kind === "tap" && doing.id === event.pointerId) {
      this.hand.tap(this.view.toPicture(pointer.at), pointer.touch ? FINGER : POINTER);
    } else if (doing?.kind === "aim" && doing.id === event.pointerId) {
      this.hand.tap(this.aimed(pointer.at), POINTER);
    } else if (doing?.kind === "stroke" && doing.id === event.pointerId) {
      this.hand.stroke(doing.along);
      doing.along = [];
    }
    if (doing && (doing.kind === "pinch" ? this.down.size === 0 : doing.id === event.pointerId)) {
      this.end(true);
      this.doing = null;
    }
  };

  private readonly cancel = (event: PointerEvent): void => {
    if (!this.down.delete(event.pointerId)) return;
    // What was dragged so far is kept: the machine took the pointer away, not the hand.
    if (this.down.size === 0) {
      this.end(true);
      this.doing = null;
    }
  };

  private end(kept: boolean): void {
    clearTimeout(this.hold);
    const { doing } = this;
    if (doing?.kind === "grip") this.hand.drop(doing.grip, kept && doing.moved);
    if (doing?.kind === "aim") this.hand.aim(null);
  }

  private readonly leave = (event: PointerEvent): void => {
    if (!this.down.has(event.pointerId)) this.hand.hover(null);
  };

  private readonly noMenu = (event: Event): void => event.preventDefault();
}
