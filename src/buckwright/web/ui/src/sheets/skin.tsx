// Is the skin smooth?

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { tubesTurn } from "../engines/materials";
import { roundRange } from "../engines/scale";
import { useFrame } from "../parts/fetched";
import { Legend } from "../parts/legend";
import { Space, type Cut, type Visit } from "../parts/space";
import { Table } from "../parts/table";
import { Choice } from "../parts/title";
import { Area, Fine } from "../parts/words";
import type { Frame } from "../server";
import type { Comb, SkinShape } from "../shape";
import { pick, picked, system, trouble } from "../state";
import type { RegionRow, SkinSheet } from "../types";
import { formatArea, formatFine } from "../units";
import { CombWords, combPath } from "./skin_comb";
import { CrownLegend, CrownLimitsForm } from "./skin_crowns";
import { HandedOn } from "./skin_handed";
import { Rolled, rulingsOf } from "./skin_rolled";
import { Scans } from "./skin_scans";
import { SoftSpots, spotVisit } from "./skin_spots";
import { asSkin, DraftWords, useDraft } from "./skin_draft";
import { placedDoubts, refusedPlace, SpotsInDoubt } from "./skin_doubts";
import { FieldsPart } from "./skin_fields";
import { doubtPin } from "./skin_fields_view";
import { FaceChoice, facePath, FaceWords, OUTER, type FaceAbout } from "./skin_faces";
import { SkinLines } from "./skin_lines";
import { Treatments } from "./skin_treatments";
import { placed } from "./skin_treatments_asking";
import { regionName, skinMarks, skinParts, treatedParts, type Surface } from "./skin_view";

export { accent, regionName } from "./skin_view";

const SURFACES: [Surface, string][] = [
  ["stripes", "under light tubes"],
  ["crown", "by crown"],
  ["mean", "by bend"],
  ["plain", "plain"],
];

export function Skin({ content }: { content: SkinSheet }): JSX.Element | null {
  const surface = useSignal<Surface>("stripes");
  const turn = useSignal(0);
  const cut = useSignal<Cut | null>(null);
  const visit = useSignal<Visit | null>(null);
  const some = content.regions.length > 0;
  const face = useSignal(OUTER);
  const fine = useFrame<FaceAbout>(facePath(face.value), content, some);
  const treated = useFrame<string[]>("/api/frame/treated", content, some);
  const draft = useDraft(content);
  const frame = (face.value === OUTER ? asSkin(draft) : null) ?? fine;
  const shape = useFrame<SkinShape>("/api/frame/shape", content, some);
  const comb = useFrame<Comb>(combPath(cut.value), content, cut.value !== null);
  const row = content.regions.find((region) => regionName(region) === picked.value);
  const spot = shape?.about.spots.find((found) => found.name === picked.value);
  if (!some) {
    return (
      <>
        {content.fields && <FieldsPart content={content} fields={content.fields} open />}
        <Scans scans={content.scans ?? []} />
      </>
    );
  }
  const doubts = [...refusedPlace(), ...placedDoubts(content.findings)];
  const range = shape ? bendRange(shape) : { range: 1, step: 0.25 };
  return (
    <>
      <div class="tools">
        <Choice<Surface>
          head="Show it"
          value={surface.value}
          options={SURFACES}
          choose={(value) => (surface.value = value)}
        />
        <FaceChoice content={content} face={face} />
        {surface.value === "stripes" && <TurnLights turn={turn} />}
      </div>
      <DraftWords draft={draft} />
      <FaceWords content={content} face={face.value} frame={fine} />
      <Space
        label="The skin in space"
        of={[frame, shape, surface.value, row ? picked.value : null]}
        parts={() => (frame ? skinParts(frame, shape, surface.value, range) : [])}
        marksOf={[shape, comb, cut.value === null, spot, turn.value, treated, content.findings, trouble.value]}
        marks={() => [
          ...skinMarks(shape, cut.value && comb, spot?.name ?? null, rulingsOf(content)),
          ...(treated ? treatedParts(treated) : []),
          ...doubts.flatMap(doubtPin),
        ]}
        onPick={(name, at) => {
          pick(name);
          if (at) placed.value = at;
        }}
        visit={spot ? spotVisit(spot) : visit.value}
        said={
          spot
            ? spot.words
            : row
              ? about(row)
              : "Pick a region, here or in the table. Stripes must run without a kink."
        }
        section
        onCut={(at) => (cut.value = at)}
      />
      <SpotsInDoubt doubts={doubts} visit={visit} />
      {cut.value && <CombWords comb={comb?.about ?? null} cut={cut.value} />}
      {surface.value === "mean" && shape && (
        <Legend
          {...range}
          write={(value) => value.toFixed(1)}
          low="dished"
          high="crowned"
          title="Mean bend, 1 over radius in metres"
        />
      )}
      {shape ? (
        <>
          <CrownLegend shape={shape.about} />
          <SoftSpots spots={shape.about.spots} limits={shape.about.limits} />
          <CrownLimitsForm limits={shape.about.limits} />
        </>
      ) : (
        <p class="quiet" role="status">
          Looking for crowns and soft spots…
        </p>
      )}
      <Table
        caption="Regions"
        rows={content.regions}
        name={regionName}
        head="Region"
        columns={[
          { head: "area", cell: (r) => <Area mm2={r.area} /> },
          { head: "triangles", cell: (r) => r.triangles.toLocaleString("en") },
          { head: "from its lines, rms", cell: (r) => <Fine mm={r.rms} /> },
          { head: "farthest", cell: (r) => <Fine mm={r.worst} /> },
        ]}
      />
      <Treatments content={content} />
      <SkinLines content={content} />
      <Rolled content={content} />
      <Scans scans={content.scans ?? []} />
      <HandedOn />
      {content.fields && (
        <FieldsPart content={content} fields={content.fields} open={false} />
      )}
    </>
  );
}

function TurnLights({ turn }: { turn: { value: number } }): JSX.Element {
  return (
    <label class="slide">
      <span>Turn the lights {turn.value}°</span>
      <input
        type="range"
        min={0}
        max={180}
        step={5}
        value={turn.value}
        aria-valuetext={`${turn.value} degrees from lengthwise`}
        onInput={(event) => {
          turn.value = Number(event.currentTarget.value);
          tubesTurn.value = (turn.value * Math.PI) / 180;
        }}
      />
    </label>
  );
}

/** A round range for the mean bend in 1/m that leaves the tightest two of a hundred out. */
function bendRange(shape: Frame<SkinShape>): { range: number; step: number } {
  const bends: number[] = [];
  shape.about.regions.forEach((_, k) => {
    const [greater, lesser] = [shape.floats(`g${k}`), shape.floats(`l${k}`)];
    for (let v = 0; v < greater.length; v += 4) bends.push(Math.abs(500 * (greater[v]! + lesser[v]!)));
  });
  bends.sort((a, b) => a - b);
  return roundRange(bends.slice(0, Math.ceil(0.98 * bends.length)), 0.5);
}

function about(row: RegionRow): string {
  const units = system.value;
  return `${regionName(row)}: ${formatArea(row.area, units)}, within ${formatFine(row.worst, units)} of its lines`;
}
