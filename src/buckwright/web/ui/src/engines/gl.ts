// One WebGL context for the whole page. Every view is an ordinary canvas onto which its picture
// is copied, so that any number of them can stand side by side.

import { WebGLRenderer, type Camera, type Scene } from "three";

let renderer: WebGLRenderer | null = null;
let refused = false;
const watchers = new Set<() => void>();

/** The renderer, or null where the browser has no WebGL. */
function shared(): WebGLRenderer | null {
  if (renderer || refused) return renderer;
  try {
    renderer = new WebGLRenderer({ antialias: true, alpha: true });
  } catch {
    refused = true;
    return null;
  }
  renderer.localClippingEnabled = true;
  renderer.setClearColor(0x000000, 0);
  const canvas = renderer.domElement;
  // A tablet that slept takes the context away; the meshes are still here and are sent again.
  canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
  canvas.addEventListener("webglcontextrestored", () => watchers.forEach((draw) => draw()));
  return renderer;
}

export const canDraw = (): boolean => shared() !== null;

/** Called when everything must be drawn again; gives back how to stop that. */
export function whenRestored(draw: () => void): () => void {
  watchers.add(draw);
  return () => watchers.delete(draw);
}

/** Draw the scene and copy it onto the canvas. */
export function drawOnto(canvas: HTMLCanvasElement, scene: Scene, camera: Camera): void {
  const gl = shared();
  const paper = canvas.getContext("2d");
  if (!gl || !paper || canvas.width === 0 || canvas.height === 0) return;
  if (gl.getContext().isContextLost()) return;
  const { width, height } = gl.domElement;
  if (width < canvas.width || height < canvas.height) {
    gl.setSize(Math.max(width, canvas.width), Math.max(height, canvas.height), false);
  }
  gl.setViewport(0, 0, canvas.width, canvas.height);
  gl.setScissor(0, 0, canvas.width, canvas.height);
  gl.setScissorTest(true);
  gl.render(scene, camera);
  paper.clearRect(0, 0, canvas.width, canvas.height);
  const top = gl.domElement.height - canvas.height;
  paper.drawImage(
    gl.domElement,
    0,
    top,
    canvas.width,
    canvas.height,
    0,
    0,
    canvas.width,
    canvas.height,
  );
}
