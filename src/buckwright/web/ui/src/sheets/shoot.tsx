// The shoot: what serves, what was refused, what to photograph next, the mat and its bars.

import "../style/shoot.css";

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { Field, Select } from "../parts/fields";
import { TypedText } from "../parts/typed";
import { Refusal, takePicture } from "../server";
import { busy, change, pick, reload, said, system } from "../state";
import type { PicturesSheet, ShootRows } from "../types";
import { formatLength } from "../units";
import { BetweenCards, exactly } from "./cardbars";
import { HullUnderlay } from "./hull";
import { Pictures } from "./pictures";
import { ShootPlan } from "./shoot_plan";
import { SingleViews } from "./singleviews";

export function PicturesAndShoot({ content }: { content: PicturesSheet }): JSX.Element {
  const { shoot, pictures } = content;
  const begun = pictures.length > 0;
  // Where nothing is missing, the plan of the cameras above says all.
  const planned = !begun || shoot.wanted.length > 0;
  return (
    <>
      <Pictures content={content} />
      {!begun && <MatAndBars shoot={shoot} />}
      <section class={planned ? "part pair" : "part"}>
        {planned && <ShootPlan shoot={shoot} />}
        <div>
          <h2>What to photograph next</h2>
          <p>{shoot.say}</p>
          {shoot.wanted.length > 0 && begun && (
            <ol class="wanted">
              {shoot.wanted.map((place) => (
                <li key={place.words}>{place.words}</li>
              ))}
            </ol>
          )}
          <Adding />
        </div>
      </section>
      {begun && <Served shoot={shoot} names={pictures.map((row) => row.name)} />}
      {begun && <MatAndBars shoot={shoot} />}
      {begun && <HullUnderlay />}
      <SingleViews views={content.views ?? []} alone={!begun} />
    </>
  );
}

/** Every card carries two; those of the others are the same again. */
const BARS_OF_A_CARD = 2;

function Adding(): JSX.Element {
  const told = useSignal<string[]>([]);
  const id = useId();
  return (
    <>
      <p class="field">
        <label for={id}>Add photographs, as the camera made them</label>
        <input
          id={id}
          type="file"
          multiple
          accept="image/*,.heic,.heif"
          disabled={busy.value}
          onChange={(event) => void add(event.currentTarget)}
        />
      </p>
      {told.value.length > 0 && (
        <ul class="findings" aria-live="polite">
          {told.value.map((words) => (
            <li key={words}>
              <span>{words}</span>
            </li>
          ))}
        </ul>
      )}
    </>
  );

  async function add(input: HTMLInputElement): Promise<void> {
    const files = [...(input.files ?? [])];
    const refused: string[] = [];
    let taken = 0;
    for (const file of files) {
      said.value = `Looking at ${file.name}`;
      try {
        await takePicture(file);
        taken += 1;
      } catch (error) {
        if (!(error instanceof Refusal)) throw error;
        refused.push(`${error.problem} ${error.remedy}`);
      }
    }
    input.value = "";
    told.value = refused;
    said.value = `${taken} of ${files.length} photographs taken in`;
    await reload();
  }
}

function Served({ shoot, names }: { shoot: ShootRows; names: string[] }): JSX.Element {
  const out = useSignal(names[0] ?? "");
  return (
    <section class="part">
      <h2>Pictures that serve</h2>
      <ul>
        {shoot.groups.map((group) => (
          <li key={group.pictures[0]}>
            <strong>{group.pictures.length}</strong> by{" "}
            {group.camera || "a camera that does not give its name"}
            {group.focal_mm > 0 && `, ${group.focal_mm} mm`}, {group.size[0]} × {group.size[1]} pixels
          </li>
        ))}
      </ul>
      {shoot.refused.length > 0 && (
        <ul class="findings">
          {shoot.refused.map((refusal) => (
            <li key={refusal.picture}>
              <strong>{refusal.picture}</strong>
              <span>{refusal.problem}</span>
              <em>{refusal.remedy}</em>
            </li>
          ))}
        </ul>
      )}
      <details class="edits">
        <summary>Take a picture out</summary>
        <Select
          label="picture"
          options={names}
          value={names.includes(out.value) ? out.value : (names[0] ?? "")}
          choose={(name) => (out.value = name)}
        />
        <p>
          <button type="button" onClick={() => void takeOut()}>
            Take it out, with its traces
          </button>
        </p>
      </details>
    </section>
  );

  async function takeOut(): Promise<void> {
    const name = names.includes(out.value) ? out.value : names[0];
    if (name && (await change({ what: "picture out", name }))) pick(null);
  }
}

function MatAndBars({ shoot }: { shoot: ShootRows }): JSX.Element {
  const measured = shoot.bars.filter((bar) => bar.typed !== null).length + shoot.between.length;
  return (
    <section class="part">
      <h2>The mat and its bars</h2>
      {shoot.bars.length > 0 && measured === 0 && (
        <p class="stale">
          The scale is not measured: every length rests on the printer, which is often wrong by 3 mm
          in a metre.
        </p>
      )}
      {shoot.bars.length > 0 && (
        <p>
          Measure from corner to corner of the squares at the ticks, with calipers or a steel rule, and
          type what you read. Leave it empty where nothing was measured.
        </p>
      )}
      {shoot.bars.slice(0, BARS_OF_A_CARD).map(typedBar)}
      {shoot.bars.length > BARS_OF_A_CARD && (
        <details class="edits">
          <summary>Bars of the other cards</summary>
          {shoot.bars.slice(BARS_OF_A_CARD).map(typedBar)}
        </details>
      )}
      {shoot.cards > 1 && shoot.board && <BetweenCards shoot={shoot} board={shoot.board} />}
      <details class="edits" open={shoot.kind === null && shoot.bars.length === 0}>
        <summary>Choose the mat that was printed</summary>
        <Kinds shoot={shoot} />
      </details>
    </section>
  );
}

function typedBar(bar: ShootRows["bars"][number]): JSX.Element {
  return (
    <TypedText
      key={bar.name}
      label={`${bar.name}, drawn ${formatLength(bar.drawn, system.value)}`}
      now={bar.typed === null ? "" : exactly(bar.typed)}
      send={(length) => ({ what: "mat bar", name: bar.name, length })}
    />
  );
}

function Kinds({ shoot }: { shoot: ShootRows }): JSX.Element {
  const kind = useSignal(shoot.kind ?? shoot.kinds[0]?.name ?? "");
  const count = useSignal(shoot.cards > 1 ? String(shoot.cards) : "");
  const chosen = shoot.kinds.find((one) => one.name === kind.value);
  return (
    <>
      <Select
        label="mat"
        options={shoot.kinds.map((one) => one.name)}
        value={kind.value}
        choose={(name) => (kind.value = name)}
      />
      <p class="quiet">For {chosen?.words}.</p>
      {chosen?.several && (
        <Field label="how many boards" value={count.value} type={(text) => (count.value = text)} />
      )}
      <p>
        <button
          type="button"
          onClick={() => void change({ what: "mat", kind: kind.value, count: count.value })}
        >
          This is the mat
        </button>
      </p>
    </>
  );
}
