// Talking to the server: JSON both ways, numbers in binary, and a socket that comes back.

export class Refusal extends Error {
  constructor(
    readonly problem: string,
    readonly remedy: string,
    /** mm, where it shows in space. */
    readonly place: [number, number, number] | null = null,
  ) {
    super(`${problem} ${remedy}`);
  }
}

const UNREACHED = new Refusal(
  "The page has lost buckwright.",
  "If it was stopped, start it again with 'buckwright open'.",
);

async function ask(path: string, options?: RequestInit): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(path, options);
  } catch {
    throw UNREACHED;
  }
  if (response.ok) return response;
  const kind = response.headers.get("content-type") ?? "";
  if (!kind.includes("json")) throw new Refusal(await response.text(), "");
  const { problem, remedy, place } = (await response.json()) as Refusal;
  throw new Refusal(problem, remedy, place ?? null);
}

export async function getJson<T>(path: string): Promise<T> {
  return (await (await ask(path)).json()) as T;
}

export async function post<T>(path: string, content: object = {}): Promise<T> {
  const body = JSON.stringify(content);
  const headers = { "content-type": "application/json" };
  return (await (await ask(path, { method: "POST", headers, body })).json()) as T;
}

/** Send one photograph; a Refusal says why it was not taken in. */
export async function takePicture(file: File): Promise<void> {
  const headers = { "content-type": "application/octet-stream" };
  const path = `/api/pictures?name=${encodeURIComponent(file.name)}`;
  await ask(path, { method: "POST", headers, body: file });
}

/** Send the picture of a view without a mat, or a piece of a drawing. */
export async function takeView(file: File, asked: Record<string, string>): Promise<void> {
  const headers = { "content-type": "application/octet-stream" };
  const path = `/api/views?${new URLSearchParams({ ...asked, file: file.name }).toString()}`;
  await ask(path, { method: "POST", headers, body: file });
}

/** Send one scan with how it is to be taken in; a Refusal says why it was not. */
export async function takeScan(
  file: File,
  asked: Record<string, string>,
): Promise<{ done: string; words: string[] }> {
  const headers = { "content-type": "application/octet-stream" };
  const path = `/api/scans?${new URLSearchParams({ ...asked, file: file.name }).toString()}`;
  const answer = await ask(path, { method: "POST", headers, body: file });
  return (await answer.json()) as { done: string; words: string[] };
}

/** Send a table of offsets; what was held, and what was left out and why. */
export async function takeOffsets(file: File): Promise<{ held: number; same: number; left_out: string[] }> {
  const headers = { "content-type": "application/octet-stream" };
  const path = `/api/offsets?name=${encodeURIComponent(file.name)}`;
  const answer = await ask(path, { method: "POST", headers, body: file });
  return (await answer.json()) as { held: number; same: number; left_out: string[] };
}

/** Send one table of lines with how it is to be read; a Refusal says why it was not. */
export async function takeTable(
  file: File,
  asked: Record<string, string>,
): Promise<{ done: string; words: string[] }> {
  const headers = { "content-type": "application/octet-stream" };
  const path = `/api/tables?${new URLSearchParams({ ...asked, file: file.name }).toString()}`;
  const answer = await ask(path, { method: "POST", headers, body: file });
  return (await answer.json()) as { done: string; words: string[] };
}

/** A frame: what it is about, and its arrays by name (see frames.py). */
export interface Frame<About> {
  about: About;
  floats(name: string): Float32Array;
  counts(name: string): Uint32Array;
}

export async function getFrame<About>(path: string): Promise<Frame<About>> {
  return readFrame<About>(await (await ask(path)).arrayBuffer());
}

export function readFrame<About>(bytes: ArrayBuffer): Frame<About> {
  const length = new DataView(bytes).getUint32(0, true);
  const text = new TextDecoder().decode(new Uint8Array(bytes, 4, length));
  const header = JSON.parse(text) as {
    about: About;
    arrays: Record<string, [string, number, number]>;
  };
  const place = (name: string): [number, number] => {
    const entry = header.arrays[name];
    if (!entry) throw new RangeError(`the frame has no ${name}`);
    return [4 + length + entry[1], entry[2]];
  };
  return {
    about: header.about,
    floats: (name) => new Float32Array(bytes, ...place(name)),
    counts: (name) => new Uint32Array(bytes, ...place(name)),
  };
}

/** A socket that opens again after it was lost; `hear` gets messages, `state` whether it stands. */
export function keepSocket(hear: (message: unknown) => void, state: (open: boolean) => void): void {
  let wait = 500;
  const open = (): void => {
    const socket = new WebSocket(`ws://${location.host}/api/socket`);
    socket.onopen = () => {
      wait = 500;
      state(true);
    };
    socket.onmessage = (event) => hear(JSON.parse(event.data as string));
    socket.onclose = () => {
      state(false);
      setTimeout(open, wait);
      wait = Math.min(2 * wait, 8000);
    };
  };
  open();
}
