// What gauges are asked for: by a tolerance or at places, how they are cut, stands and sweeps.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { Switch } from "../parts/fields";
import { Choice } from "../parts/title";
import { TypedLength, TypedText } from "../parts/typed";
import type { AskedGauges, AxisName, GaugesContent } from "../cards";
import { change, system } from "../state";
import { formatLength } from "../units";

type Send = (what: string, typed?: object) => Promise<boolean>;

export function AskGauges({ content }: { content: GaugesContent }): JSX.Element {
  const chosen = useSignal(0);
  const { asked } = content;
  const place = Math.min(chosen.value, asked.length - 1);
  const spec = asked[place];
  return (
    <section class="part ask">
      <h2>What is asked for</h2>
      {asked.length > 1 && (
        <Choice<string>
          head="Gauges of"
          value={String(place)}
          options={asked.map((one, k) => [String(k), one.region])}
          choose={(value) => (chosen.value = Number(value))}
        />
      )}
      {spec && <Asked key={place} spec={spec} place={place} lines={content.lines} />}
      <AddRegion content={content} />
    </section>
  );
}

function Asked(props: { spec: AskedGauges; place: number; lines: string[] }): JSX.Element {
  const { spec, place, lines } = props;
  const send: Send = (what, typed = {}) =>
    change({ what, place, region: spec.region, ...typed });
  const told = (what: string) => (length: string) => ({ what, place, region: spec.region, length });
  const units = system.value;
  const places = spec.at.map((at) => formatLength(at, units)).join("; ");
  return (
    <>
      <h3>Cards of the {spec.region}</h3>
      <div class="asked">
        <TypedText
          label="as many as make it true within (empty: none)"
          now={spec.tolerance === null ? "" : formatLength(spec.tolerance, units)}
          send={told("gauge tolerance")}
        />
        <TypedText
          label="also at these places (empty: none)"
          now={places}
          send={(text) => ({ what: "gauge planes", place, region: spec.region, text })}
        />
        <Choice<AxisName>
          head="They stand at"
          value={spec.axis}
          options={[
            ["x", "stations"],
            ["y", "buttocks"],
            ["z", "levels"],
          ]}
          choose={(axis) => void send("gauge axis", { axis })}
        />
        <Choice<AskedGauges["face"]>
          head="They touch"
          value={spec.face}
          options={[
            ["outside", "the outside"],
            ["inside", "the inside"],
            ["both", "both"],
          ]}
          choose={(face) => void send("gauge face", { face })}
        />
        <TypedLength label="card is thick" mm={spec.card_thickness} send={told("gauge card")} />
        <Choice<"drawn" | "cut">
          head="Words are"
          value={spec.labels}
          options={[
            ["drawn", "drawn on"],
            ["cut", "cut in"],
          ]}
          choose={(labels) => void send("gauge labels", { labels })}
        />
        <Switch on={spec.stand} words="with a stand" flip={(on) => void send("gauge stand", { on })} />
        {spec.stand && (
          <TypedLength
            label="slots wider than the card by"
            mm={spec.clearance}
            send={told("gauge clearance")}
          />
        )}
        <Switch
          on={spec.sweeps !== null}
          words="with sweeps"
          flip={(on) => void send("gauge sweeps", { on })}
        />
        {spec.sweeps && (
          <>
            <TypedLength
              label="a sweep is long"
              mm={spec.sweeps.chord}
              send={told("gauge sweep chord")}
            />
            <TypedLength
              label="light under it at most"
              mm={spec.sweeps.tolerance}
              send={told("gauge sweep tolerance")}
            />
          </>
        )}
      </div>
      <AtLines spec={spec} send={send} lines={lines} />
      <p>
        <button type="button" onClick={() => void send("drop gauges")}>
          Leave out the gauges of the {spec.region}
        </button>
      </p>
    </>
  );
}

function AtLines(props: { spec: AskedGauges; send: Send; lines: string[] }): JSX.Element {
  const { spec, send, lines } = props;
  return (
    <>
      <h3>Cards square to the metal, at a line</h3>
      {spec.lines.length > 0 && (
        <ul class="asked-lines">
          {spec.lines.map((card, number) => (
            <li key={number}>
              <span>
                {card.way} {card.line}, at {Math.round(100 * card.share)} % of it
                {card.reach !== null && `, ${formatLength(card.reach, system.value)} to each side`}
              </span>
              <button
                type="button"
                aria-label={`Leave out the card ${card.way} ${card.line} at ${Math.round(100 * card.share)} %`}
                onClick={() => void send("drop card at line", { number })}
              >
                Leave out
              </button>
            </li>
          ))}
        </ul>
      )}
      <AddAtLine lines={lines} send={send} />
    </>
  );
}

function AddAtLine({ lines, send }: { lines: string[]; send: Send }): JSX.Element {
  const id = useId();
  const add = (event: SubmitEvent): void => {
    event.preventDefault();
    const form = new FormData(event.currentTarget as HTMLFormElement);
    const typed = { line: form.get("line"), way: form.get("way"), text: form.get("share") };
    void send("add card at line", { ...typed, length: form.get("reach") });
  };
  return (
    <form class="asked" onSubmit={add}>
      <label for={`${id}w`}>
        <span>a card</span>
        <select id={`${id}w`} name="way">
          <option value="across">across</option>
          <option value="along">along</option>
        </select>
      </label>
      <label for={`${id}l`}>
        <span>the line</span>
        <select id={`${id}l`} name="line">
          {lines.map((line) => (
            <option key={line}>{line}</option>
          ))}
        </select>
      </label>
      <label for={`${id}s`}>
        <span>at % of it</span>
        <input id={`${id}s`} name="share" type="text" autocomplete="off" value="50" />
      </label>
      <label for={`${id}r`}>
        <span>to each side (empty: all)</span>
        <input id={`${id}r`} name="reach" type="text" autocomplete="off" />
      </label>
      <button type="submit">Add the card</button>
    </form>
  );
}

function AddRegion({ content }: { content: GaugesContent }): JSX.Element | null {
  const id = useId();
  const asked = new Set(content.asked.map((spec) => spec.region));
  const free = content.regions.filter((region) => !asked.has(region));
  if (free.length === 0) return null;
  const add = (event: SubmitEvent): void => {
    event.preventDefault();
    const form = new FormData(event.currentTarget as HTMLFormElement);
    void change({ what: "add gauges", region: form.get("region") });
  };
  return (
    <form class="asked" onSubmit={add}>
      <label for={id}>
        <span>Gauge another region</span>
        <select id={id} name="region">
          {free.map((region) => (
            <option key={region}>{region}</option>
          ))}
        </select>
      </label>
      <button type="submit">Ask for its gauges</button>
    </form>
  );
}
