// Tracing without a pointer: a cross-hair moved by a tenth of a pixel, clicks set, picked, moved.

import type { Signal } from "@preact/signals";
import type { Gestures } from "../engines/gestures";
import type { PictureView } from "../engines/picture";
import type { Point2 } from "../types";
import * as work from "./tracingwork";

const ARROWS: Record<string, Point2> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** The listener for keys on the picture. */
export function crossKeys(
  view: PictureView,
  gestures: Gestures,
  cross: Signal<Point2>,
  keyed: Signal<boolean>,
): (event: KeyboardEvent) => void {
  /** The click that Enter moves, since the keys went there. */
  let holding: number | null = null;

  const move = (event: KeyboardEvent, [right, down]: Point2): void => {
    const step = (event.shiftKey ? 1 : 0.1) * (event.ctrlKey || event.metaKey ? 100 : 1);
    // Arrows go where they point on the screen, however the picture is turned.
    const [x, y] = view.toScreen(cross.value);
    const k = step * view.nearness;
    const to = view.toPicture([x + right * k, y + down * k]);
    cross.value = [Math.round(to[0] * 10) / 10, Math.round(to[1] * 10) / 10];
    here();
    work.tell(work.told(cross.value));
  };

  const here = (): void => {
    keyed.value = true;
    view.visit(cross.value);
    view.look(cross.value);
  };

  const goTo = (by: number): boolean => {
    const clicks = work.draft.value?.clicks ?? [];
    const next = work.chosen.value === null ? (by > 0 ? 0 : clicks.length - 1) : work.chosen.value + by;
    const click = clicks[next];
    if (!click || !keyed.value) return false;
    work.chosen.value = holding = next;
    cross.value = click;
    here();
    work.tell(`Click ${next + 1} of ${clicks.length} at ${work.told(click)}. Move it and press Enter.`);
    return true;
  };

  const enter = async (): Promise<void> => {
    here();
    if (holding !== null && work.draft.value?.clicks[holding]) {
      const click = holding;
      holding = null;
      work.show(click, cross.value);
      await work.keepMoved(click);
    } else {
      await work.set(cross.value);
    }
  };

  const escape = (): void => {
    if (gestures.breakOff()) return;
    if (holding !== null) holding = null;
    else work.finish();
    work.chosen.value = null;
    view.look(null);
  };

  const others: Record<string, () => void> = {
    Enter: () => void enter(),
    Backspace: () => void work.takeBack(),
    Delete: () => {
      holding = null;
      void work.takeBack(work.chosen.value);
    },
    Escape: escape,
    "+": () => view.zoom(1.25, view.toScreen(cross.value)),
    "=": () => view.zoom(1.25, view.toScreen(cross.value)),
    "-": () => view.zoom(0.8, view.toScreen(cross.value)),
    f: () => view.fit(),
    c: () => void work.close(),
  };

  return (event) => {
    const arrow = ARROWS[event.key];
    if (arrow && !event.altKey) {
      event.preventDefault();
      move(event, arrow);
      return;
    }
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Tab") {
      // After the last click Tab goes on to the tools, as everywhere.
      if (goTo(event.shiftKey ? -1 : 1)) event.preventDefault();
      return;
    }
    const action = others[event.key];
    if (!action) return;
    event.preventDefault();
    action();
  };
}
