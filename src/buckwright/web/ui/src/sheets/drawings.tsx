// What goes to the floor? The packet: made, looked at, taken whole or file by file.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import { Flat } from "../parts/flat";
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

/** Without the folder that all files of a packet share. */
function short(packet: PacketState, name: string): string {
  const folder = name.slice(0, name.indexOf("/") + 1);
  return folder && packet.files.every((file) => file.name.startsWith(folder))
    ? name.slice(folder.length)
    : name;
}

function Preview({ packet }: { packet: PacketState }): JSX.Element | null {
  const drawn = packet.files.filter((file) => ["svg", "png"].includes(ending(file.name)));
  const place = useSignal(0);
  const size = useSignal<{ width: number; height: number } | null>(null);
  const file = drawn[Math.min(place.value, drawn.length - 1)];
  const source = file ? `${address(file.name)}?of=${packet.size}` : "";
  useEffect(() => {
    const image = new Image();
    image.onload = () => {
      size.value = { width: image.naturalWidth, height: image.naturalHeight };
    };
    image.src = source;
    return () => {
      image.onload = null;
    };
  }, [source]);
  if (!file) return null;
  const home = { x: 0, y: 0, width: 3, height: 2, ...size.value };
  return (
    <figure class="view drawing">
      <Flat label={`Drawing ${file.name}`} home={home} of={`${source} ${home.width} ${home.height}`}>
        {() => size.value && <image href={source} width={home.width} height={home.height} />}
      </Flat>
      <p class="said" role="status">
        {short(packet, file.name)}, {place.value + 1} of {drawn.length}
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
    <div class="part table long" role="region" aria-label="Files of the packet" tabIndex={0}>
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
                  {short(packet, file.name)}
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
