// What is asked of openings: lines round them, gaps, hinge points, glass; all of it typed.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import type { AskedGlass, AskedOpening, OpeningKind, OpeningsSheet } from "../doors";
import { Field, Select, Switch } from "../parts/fields";
import { Choice } from "../parts/title";
import { TypedLength, TypedText } from "../parts/typed";
import { change, picked, system } from "../state";
import { formatLength } from "../units";

const KINDS: [OpeningKind, string][] = [
  ["door", "a door"],
  ["window", "a window"],
  ["screen", "a screen"],
  ["lid", "a lid"],
];

const SIZES: ["gap" | "drain" | "thickness" | "metal", string][] = [
  ["gap", "Shut gap"],
  ["drain", "Gap along the bottom, for water"],
  ["thickness", "From the metal to the trim"],
  ["metal", "Metal"],
];

const GLASS_SIZES: ["thickness" | "overlap" | "set_in" | "clearance", string][] = [
  ["thickness", "Glass is thick"],
  ["overlap", "It reaches beyond its outline by"],
  ["set_in", "It stands in from the metal by"],
  ["clearance", "Room wanted while it drops"],
];

export function AskOpenings({ content }: { content: OpeningsSheet }): JSX.Element {
  const spec = content.asked.find((one) => one.name === picked.value) ?? content.asked[0];
  return (
    <section class="part ask">
      <h2>What is asked for</h2>
      {spec && <Asked key={spec.name} spec={spec} content={content} />}
      <NewOpening lines={content.lines} />
    </section>
  );
}

function Asked({ spec, content }: { spec: AskedOpening; content: OpeningsSheet }): JSX.Element {
  const name = spec.name;
  const metal = spec.kind === "door" || spec.kind === "lid";
  return (
    <>
      <h3>
        {name}: {KINDS.find(([kind]) => kind === spec.kind)?.[1]} inside {spec.outline.join(" and ")}
      </h3>
      <details class="edits one-person" open>
        <summary>Gaps and thickness</summary>
        <div class="typed-list">
          {SIZES.map(([field, label]) => (
            <TypedLength
              key={field}
              label={label}
              mm={spec[field]}
              send={(length) => ({ what: "opening size", name, field, length })}
            />
          ))}
        </div>
        {metal && content.regions.length > 1 && (
          <Select
            label="Cut from the region"
            options={content.regions}
            value={spec.region}
            choose={(region) => void change({ what: "opening region", name, region })}
          />
        )}
      </details>
      {metal && <Hinges spec={spec} />}
      <Glass spec={spec} lines={content.lines} />
      <p>
        {spec.pairs && (
          <button type="button" onClick={() => void change({ what: "mirror opening", name })}>
            Make the other side its mirror image
          </button>
        )}{" "}
        <button type="button" onClick={() => void change({ what: "drop opening", name })}>
          Leave out {name}
        </button>
      </p>
    </>
  );
}

function Hinges({ spec }: { spec: AskedOpening }): JSX.Element {
  const { name, hinge } = spec;
  if (!hinge) return <NewHinges name={name} />;
  const units = system.value;
  return (
    <details class="edits one-person" open>
      <summary>Hinges: {hinge.pins.length} points</summary>
      <p class="quiet">
        Station; buttock (left is minus); height. Three points, or the way each pin points, show
        whether the pins are in line.
      </p>
      <div class="typed-list">
        {hinge.pins.map((pin, place) => (
          <TypedText
            key={`point ${place}`}
            label={`Hinge point ${place + 1}`}
            now={pin.point.map((value) => formatLength(value, units)).join("; ")}
            send={(text) => ({ what: "hinge point", name, place, text })}
          />
        ))}
        <TypedText
          label="One more hinge point"
          now=""
          send={(text) => ({ what: "hinge point", name, place: hinge.pins.length, text })}
        />
        {hinge.pins.map((pin, place) => (
          <TypedText
            key={`way ${place}`}
            label={`Pin ${place + 1} points (rearward; right; up), empty if not measured`}
            now={pin.direction ? pin.direction.join("; ") : ""}
            send={(text) => ({ what: "hinge direction", name, place, text })}
          />
        ))}
        <TypedText
          label="Should swing, degrees"
          now={String(hinge.swing)}
          send={(text) => ({ what: "opening swing", name, text })}
        />
      </div>
      <p>
        {hinge.pins.map((_, place) => (
          <button
            type="button"
            key={place}
            onClick={() => void change({ what: "drop hinge point", name, place })}
          >
            Leave out hinge point {place + 1}
          </button>
        ))}
      </p>
    </details>
  );
}

function NewHinges({ name }: { name: string }): JSX.Element {
  const low = useSignal("");
  const high = useSignal("");
  return (
    <details class="edits one-person">
      <summary>Hinges: none</summary>
      <p class="quiet">Station; buttock (left is minus); height, as 800 mm; -592 mm; 540 mm.</p>
      <Field label="Lower hinge point" value={low.value} type={(text) => (low.value = text)} />
      <Field label="Upper hinge point" value={high.value} type={(text) => (high.value = text)} />
      <button
        type="button"
        onClick={() => void change({ what: "hinge points", name, low: low.value, high: high.value })}
      >
        Hang it on these two points
      </button>
    </details>
  );
}

function Glass({ spec, lines }: { spec: AskedOpening; lines: string[] }): JSX.Element {
  const { name, glass } = spec;
  return (
    <details class="edits one-person" open={glass !== null}>
      <summary>Glass: {glass ? (glass.shape === "flat" ? "flat" : "bent") : "none"}</summary>
      <Switch on={glass !== null} words="with glass" flip={(on) => void change({ what: "glass", name, on })} />
      {glass && <GlassFields spec={spec} glass={glass} lines={lines} />}
    </details>
  );
}

interface GlassProps {
  spec: AskedOpening;
  glass: AskedGlass;
  lines: string[];
}

function GlassFields({ spec, glass, lines }: GlassProps): JSX.Element {
  const name = spec.name;
  const units = system.value;
  const size = (field: string) => (length: string) => ({ what: "glass size", name, field, length });
  return (
    <>
      <div class="tools">
        <Choice<AskedGlass["shape"]>
          head="It is"
          value={glass.shape}
          options={[
            ["flat", "flat"],
            ["cylinder", "bent in one direction"],
          ]}
          choose={(shape) => void change({ what: "glass shape", name, shape })}
        />
        {spec.kind === "door" && (
          <Switch on={glass.drops} words="it drops" flip={(on) => void change({ what: "glass drops", name, on })} />
        )}
      </div>
      <Select
        label="Inside the line"
        options={["as the opening", ...lines]}
        value={glass.outline[0] ?? "as the opening"}
        choose={(line) => void change({ what: "glass outline", name, names: [line] })}
      />
      <div class="typed-list">
        {GLASS_SIZES.map(([field, label]) => (
          <TypedLength key={field} label={label} mm={glass[field]} send={size(field)} />
        ))}
        {glass.shape === "cylinder" && (
          <TypedText
            label="Bent to the radius (empty: what fits best)"
            now={glass.radius === null ? "" : formatLength(glass.radius, units)}
            send={size("radius")}
          />
        )}
        {glass.drops && (
          <TypedText
            label="Should drop by (empty: the whole window)"
            now={glass.drop === null ? "" : formatLength(glass.drop, units)}
            send={size("drop")}
          />
        )}
      </div>
    </>
  );
}

function NewOpening({ lines }: { lines: string[] }): JSX.Element {
  const name = useSignal("");
  const kind = useSignal<OpeningKind>("door");
  const names = useSignal<string[]>([]);
  const add = async (): Promise<void> => {
    const typed = { what: "add opening", name: name.value, kind: kind.value, names: names.value };
    if (await change(typed)) {
      picked.value = name.value.trim();
      name.value = "";
      names.value = [];
    }
  };
  return (
    <details class="edits one-person">
      <summary>Add a door, window, screen or lid</summary>
      <Field label="Its name" value={name.value} type={(text) => (name.value = text)} />
      <div class="tools">
        <Choice<OpeningKind>
          head="It is"
          value={kind.value}
          options={KINDS}
          choose={(next) => (kind.value = next)}
        />
      </div>
      <Select
        label="Add a line round it"
        options={["choose a line", ...lines.filter((line) => !names.value.includes(line))]}
        value="choose a line"
        choose={(line) => (names.value = [...names.value, line])}
      />
      <p class="quiet">
        {names.value.length > 0
          ? `Round it: ${names.value.join(", then ")}.`
          : "One closed line, or several in order that meet."}{" "}
        {names.value.length > 0 && (
          <button type="button" onClick={() => (names.value = names.value.slice(0, -1))}>
            Take the last line back
          </button>
        )}
      </p>
      <button type="button" onClick={() => void add()}>
        Add it
      </button>
    </details>
  );
}
