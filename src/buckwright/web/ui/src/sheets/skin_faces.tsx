// The skin's faces: as drawn, its inner face, the axis of the wires under it.

import type { Signal } from "@preact/signals";
import type { JSX } from "preact";
import { Choice } from "../parts/title";
import type { Frame } from "../server";
import { system } from "../state";
import type { SkinSheet } from "../types";
import { formatLength, inUnits } from "../units";
import { regionName } from "./skin_view";

export const OUTER = "outer face";

export type FaceAbout = { name: string; side: string; folds?: string }[];

export const facePath = (face: string): string =>
  face === OUTER ? "/api/frame/skin" : `/api/frame/face?at=${encodeURIComponent(face)}`;

export function FaceChoice(props: { content: SkinSheet; face: Signal<string> }): JSX.Element | null {
  const faces = Object.keys(props.content.faces ?? {});
  if (faces.length === 0) return null;
  return (
    <Choice<string>
      head="Its"
      value={props.face.value}
      options={[OUTER, ...faces].map((face): [string, string] => [face, face])}
      choose={(face) => (props.face.value = face)}
    />
  );
}

interface WordsProps {
  content: SkinSheet;
  face: string;
  frame: Frame<FaceAbout> | null;
}

export function FaceWords({ content, face, frame }: WordsProps): JSX.Element | null {
  const by = content.faces?.[face];
  if (by === undefined || !frame) return null;
  const folds = frame.about.filter((region) => region.folds);
  return (
    <div role="status">
      <p>
        The {face} lies <b>{formatLength(Math.abs(by), system.value)}</b> inside the outer face.
        {folds.length === 0 && " It folds nowhere."}
      </p>
      <ul>
        {folds.map((region) => (
          <li key={regionName(region)}>{inUnits(region.folds ?? "", system.value)}</li>
        ))}
      </ul>
    </div>
  );
}
