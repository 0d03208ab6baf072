// Are the lines fair, and do the views agree?

import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import { Departures } from "../parts/departures";
import { held, take } from "../parts/hand";
import { Snapping } from "../parts/snapping";
import { Table } from "../parts/table";
import { Fine, Length } from "../parts/words";
import { hovered, picked, system } from "../state";
import type { LinesSheet } from "../types";
import { formatFine, formatLength } from "../units";
import { ViewsAgree } from "./agreeing";
import { Elevations } from "./elevations";
import { OffsetTables } from "./offsets";
import { MeasureTool } from "./measuring";
import { OffsetFile } from "./offsetfile";
import { OnPicture } from "./onpicture";
import { MovedByHand, PulledLine } from "./pins";
import { Sectioned } from "./sectioned";
import { MarkedPoints, SidesApart } from "./sidesapart";
import { LineTables } from "./tables";
import { TapeMeasures } from "./tapes";
import { UnderlayTool } from "./underlay";
import { DraftSkin } from "./skin_draft";

export function Lines({ content }: { content: LinesSheet }): JSX.Element {
  const { lines, crossings = [], offsets } = content;
  const line = lines.find((row) => row.name === (hovered.value ?? picked.value));
  const before = content.wheelbase?.[0];
  useEffect(() => {
    void take(content);
  }, [content, picked.value]);
  return (
    <>
      {lines.length > 0 && (
        <figure class="view">
          <Elevations content={content} />
          <div class="tools bench">
            <MeasureTool content={content} />
            {content.pullable && <Snapping />}
            {(content.silhouettes ?? 0) > 1 && <UnderlayTool content={content} />}
          </div>
          <p class="said" role="status">
            {line
              ? `${line.name}: ${formatLength(line.length, system.value)} long, good to ${formatFine(line.doubt, system.value)}, its points to ${formatFine(line.sigma, system.value)}${held.value && line.name === picked.value ? ". Drag it to pull it; the comb shows how it is bent" : ""}`
              : "Point at a line, or pick one, to see it in all views and to pull it. Dashed: the reference, before departures."}
          </p>
        </figure>
      )}
      {lines.length > 0 && <Sectioned content={content} />}
      <OnPicture content={content} />
      <DraftSkin content={content} />
      <ViewsAgree rows={content.views ?? []} />
      <SidesApart rows={content.sides ?? []} />
      <MarkedPoints rows={content.points ?? []} />
      <PulledLine content={content} />
      <MovedByHand content={content} />
      <Departures content={content} />
      {before !== undefined && content.wheelbase && (
        <dl class="facts">
          <div>
            <dt>Wheelbase of the reference</dt>
            <dd>
              <Length mm={before} />
            </dd>
          </div>
          <div>
            <dt>Wheelbase now</dt>
            <dd>
              <Length mm={content.wheelbase[1]} />
            </dd>
          </div>
          <div>
            <dt>Left against right</dt>
            <dd>
              <Fine mm={content.asymmetry ?? 0} /> rms
            </dd>
          </div>
        </dl>
      )}
      {lines.length > 0 && (
        <div class="part">
          <Table
            caption="Lines"
            rows={lines}
            name={(row) => row.name}
            head="Line"
            columns={[
              { head: "length", cell: (row) => <Length mm={row.length} /> },
              { head: "points good to", cell: (row) => <Fine mm={row.sigma} /> },
              { head: "line good to", cell: (row) => <Fine mm={row.doubt} /> },
              { head: "moved, rms", cell: (row) => <Fine mm={row.moved[0]} /> },
              { head: "moved, most", cell: (row) => <Fine mm={row.moved[1]} /> },
              { head: "curvature peaks", cell: (row) => row.extrema },
              { head: "tolerance", cell: (row) => <Fine mm={row.tolerance} /> },
              { head: "outside it", cell: (row) => (row.beyond > 0 ? <Fine mm={row.beyond} /> : "") },
            ]}
          />
        </div>
      )}
      {crossings.length > 0 && (
        <div class="part">
          <Table
            caption="Where lines cross"
            still
            rows={crossings}
            name={(row) => row.lines.join(" and ")}
            head="Lines"
            columns={[
              { head: "station", cell: (row) => <Length mm={row.point[0]} /> },
              { head: "half-breadth", cell: (row) => <Length mm={Math.abs(row.point[1])} /> },
              { head: "height", cell: (row) => <Length mm={row.point[2]} /> },
              { head: "missed by", cell: (row) => <Fine mm={row.gap} /> },
            ]}
          />
        </div>
      )}
      {offsets && offsets.rows.length > 0 && <OffsetTables offsets={offsets} typed={content.pullable ?? false} />}
      {offsets && offsets.rows.length > 0 && <OffsetFile typed={content.pullable ?? false} />}
      <LineTables tables={content.tables ?? []} />
      {content.tapes && <TapeMeasures tapes={content.tapes} lines={lines.map((row) => row.name)} />}
    </>
  );
}
