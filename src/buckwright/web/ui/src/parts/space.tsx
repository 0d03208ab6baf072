// A view in space with its words below it: where to look from, where to cut.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { AXES, type Axis } from "../engines/section";
import { View3D, type Look, type Part } from "../engines/view3d";
import { dark, system } from "../state";
import { formatLength } from "../units";
import { Choice } from "./title";

interface Props {
  label: string;
  /** Built again whenever `of` changes. */
  parts: () => Part[];
  of: unknown[];
  onPick: (name: string | null, at: [number, number, number] | null) => void;
  /** What is picked, in words. */
  said: string;
  section?: boolean;
  lookAt?: [number, number, number] | null;
  /** Drawn beside the parts, built again whenever `marksOf` changes. */
  marks?: () => Part[];
  marksOf?: unknown[];
  /** Where to stand and look, whenever it is another place. */
  visit?: Visit | null;
  /** Where it is cut now. */
  onCut?: (at: Cut | null) => void;
}

export interface Visit {
  point: [number, number, number];
  out: [number, number, number];
  away: number;
}

export interface Cut {
  axis: Axis;
  value: number;
}

const LOOKS: [Look, string][] = [
  ["corner", "Corner"],
  ["left", "Left"],
  ["front", "Front"],
  ["rear", "Rear"],
  ["above", "Above"],
];

export const AXIS_WORDS: Record<Axis, string> = { x: "station", y: "buttock", z: "level" };

export function Space(props: Props): JSX.Element {
  const host = useRef<HTMLDivElement>(null);
  const view = useRef<View3D | null>(null);
  const pickNow = useRef(props.onPick);
  pickNow.current = props.onPick;

  useEffect(() => {
    if (!host.current) return;
    view.current = new View3D(host.current, (name, at) =>
      pickNow.current(name, at && [at.x, at.y, at.z]),
    );
    view.current.look("corner");
    return () => view.current?.remove();
  }, []);

  useEffect(() => {
    const parts = props.parts();
    view.current?.show(parts);
  }, [...props.of, dark.value]);

  useEffect(() => {
    const marks = props.marks?.() ?? [];
    if (props.marks) view.current?.mark(marks);
  }, [...(props.marksOf ?? []), dark.value]);

  useEffect(() => {
    const { visit } = props;
    if (visit) view.current?.visit(visit.point, visit.out, visit.away);
  }, [props.visit]);

  useEffect(() => {
    if (props.lookAt) view.current?.lookAt(props.lookAt);
  }, [props.lookAt]);

  return (
    <figure class="view">
      <div
        ref={host}
        class="space"
        tabIndex={0}
        role="application"
        aria-label={`${props.label}. Arrow keys turn it, plus and minus come nearer and go back, F shows all.`}
      />
      <p class="said" role="status">
        {props.said}
      </p>
      <div class="tools">
        <span>Look from</span>
        {LOOKS.map(([look, words]) => (
          <button type="button" key={look} onClick={() => view.current?.look(look)}>
            {words}
          </button>
        ))}
        <button type="button" onClick={() => view.current?.nearer(1.25)}>
          Nearer
        </button>
        <button type="button" onClick={() => view.current?.nearer(0.8)}>
          Farther
        </button>
      </div>
      {props.section && <Section view={view} of={props.of} onCut={props.onCut} />}
    </figure>
  );
}

interface SectionProps {
  view: { current: View3D | null };
  of: unknown[];
  onCut: ((at: Cut | null) => void) | undefined;
}

function Section({ view, of, onCut }: SectionProps): JSX.Element {
  const axis = useSignal<Axis | "none">("none");
  const share = useSignal(0.5);
  const beyond = useSignal(false);
  const on = axis.value !== "none" ? axis.value : null;
  const [low, high] = on && view.current ? view.current.extent(on) : [0, 0];
  const value = low + (high - low) * share.value;

  useEffect(() => {
    const accent = getComputedStyle(document.documentElement).getPropertyValue("--accent");
    const at = on ? { axis: on, value, beyond: beyond.value } : null;
    view.current?.cut(at, accent.trim());
  }, [on, value, beyond.value, dark.value, ...of]);

  useEffect(() => onCut?.(on ? { axis: on, value } : null), [on, value]);

  return (
    <div class="tools section">
      <Choice<Axis | "none">
        head="Cut it at"
        value={axis.value}
        options={[["none", "nothing"], ...AXES.map((a): [Axis, string] => [a, `a ${AXIS_WORDS[a]}`])]}
        choose={(next) => (axis.value = next)}
      />
      {on && (
        <>
          <label class="slide">
            <span>
              {AXIS_WORDS[on]} {formatLength(value, system.value)}
            </span>
            <input
              type="range"
              min={0}
              max={1}
              step={0.005}
              value={share.value}
              aria-valuetext={`${AXIS_WORDS[on]} ${formatLength(value, system.value)}`}
              onInput={(event) => (share.value = Number(event.currentTarget.value))}
            />
          </label>
          <button type="button" onClick={() => (beyond.value = !beyond.value)}>
            Show the other half
          </button>
        </>
      )}
    </div>
  );
}
