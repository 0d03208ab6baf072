// What goes to the floor? The packet: made, looked at, taken whole or file by file.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { TypedText } from "../parts/typed";
import { bytes } from "../parts/words";
import { busy, job, outline, startWork } from "../state";
import type { DrawingsSheet, PacketState } from "../types";

const KINDS: Record<string, string> = {
  pdf: "to print",
  svg: "to look at or cut",
  dxf: "for a cutting machine",
  csv: "a list for a spreadsheet",
  step: "exact surfaces",
  glb: "to turn on a screen",
  stl: "to print or carve a model",
  json: "for other programs",
  txt: "to read",
  png: "a picture",
};

const ending = (name: string): string => name.slice(name.lastIndexOf(".") + 1).toLowerCase();
const address = (name: string): string =>
  `/api/packet/${name.split("/").map(encodeURIComponent).join("/")}`;

export function Drawings({ content }: { content: DrawingsSheet }): JSX.Element {
  const packet = job.value?.packet ?? null;
  const stale = outline.value?.state === "stale";
  const ready = outline.value?.answer !== null;
  return (
    <>
      {packet && <Preview packet={packet} />}
      <div class="tools packet">
        {packet && (
          <a class="button main" href="/api/packet.zip" download>
            Download the whole packet, revision {packet.revision} ({bytes(packet.size)})
          </a>
        )}
        <button
          type="button"
          class={packet ? "" : "main"}
          disabled={busy.value || !ready}
          onClick={() => void startWork("packet")}
        >
          {packet ? "Make it again" : "Make the packet"}
        </button>
      </div>
      {packet && stale && (
        <p class="stale">The job has changed since this packet was made. Make it again before it goes out.</p>
      )}
      <section class="part">
        <h2>Revision</h2>
        <TypedText
          label="Letter or short mark"
          now={content.revision}
          send={(text) => ({ what: "revision", text })}
        />
      </section>
      {packet && <Files packet={packet} />}
    </>
  );
}

function Preview({ packet }: { packet: PacketState }): JSX.Element | null {
  const drawn = packet.files.filter((file) => ["svg", "png"].includes(ending(file.name)));
  const place = useSignal(0);
  const file = drawn[Math.min(place.value, drawn.length - 1)];
  if (!file) return null;
  return (
    <figure class="view">
      <div class="drawing">
        <img src={`${address(file.name)}?of=${packet.size}`} alt={`Drawing ${file.name}`} />
      </div>
      <p class="said" role="status">
        {file.name}, {place.value + 1} of {drawn.length}
      </p>
      <div class="tools">
        <button type="button" disabled={place.value === 0} onClick={() => place.value--}>
          Drawing before
        </button>
        <button
          type="button"
          disabled={place.value >= drawn.length - 1}
          onClick={() => place.value++}
        >
          Drawing after
        </button>
      </div>
    </figure>
  );
}

function Files({ packet }: { packet: PacketState }): JSX.Element {
  return (
    <div class="part table" role="region" aria-label="Files of the packet" tabIndex={0}>
      <table>
        <caption>Files of the packet</caption>
        <thead>
          <tr>
            <th scope="col">File</th>
            <th scope="col">What for</th>
            <th scope="col" class="figures">
              Size
            </th>
          </tr>
        </thead>
        <tbody>
          {packet.files.map((file) => (
            <tr key={file.name}>
              <th scope="row">
                <a class="file" href={address(file.name)} download>
                  {file.name}
                </a>
              </th>
              <td>{KINDS[ending(file.name)] ?? ""}</td>
              <td class="figures">{bytes(file.size)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
