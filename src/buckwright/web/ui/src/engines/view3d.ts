// A view in space: turn it, come nearer, cut it with a plane, pick what is in it. It draws only
// when something changed.

import {
  AmbientLight,
  Box3,
  DirectionalLight,
  Group,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  Object3D,
  PerspectiveCamera,
  Plane,
  Raycaster,
  Scene,
  Vector2,
  Vector3,
  type BufferGeometry,
  type Material,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { pairsBody } from "./bodies";
import { canDraw, drawOnto, whenRestored } from "./gl";
import { fitTo } from "./fit";
import { discard } from "./materials";
import { AXES, planeSection, type Axis } from "./section";

export type Look = "corner" | "left" | "right" | "front" | "rear" | "above";

const LOOKS: Record<Look, Vector3> = {
  corner: new Vector3(-1, -1.25, 0.65),
  left: new Vector3(0, -1, 0),
  right: new Vector3(0, 1, 0),
  front: new Vector3(-1, 0, 0),
  rear: new Vector3(1, 0, 0),
  above: new Vector3(-0.0001, 0, 1),
};

export interface Part {
  /** What is picked with it; null for what cannot be picked. */
  name: string | null;
  body: BufferGeometry;
  material: Material;
  lines?: boolean;
  /** Whether the section plane cuts it, and its cut edge is drawn. */
  cut?: boolean;
}

export class View3D {
  readonly canvas = document.createElement("canvas");
  private readonly scene = new Scene();
  private readonly camera = new PerspectiveCamera(28, 1, 10, 60000);
  private readonly controls: OrbitControls;
  private readonly parts = new Group();
  private readonly marks = new Group();
  private readonly sectionLines = new LineSegments(pairsBody([]), new LineBasicMaterial());
  private readonly watch: ResizeObserver;
  private readonly forget: () => void;
  private plane: Plane | null = null;
  private frame = 0;
  private down = { x: 0, y: 0 };
  private chosen: Look | null = null;
  private turned = false;

  constructor(
    private readonly host: HTMLElement,
    private readonly onPick: (name: string | null, point: Vector3 | null) => void,
  ) {
    host.append(this.canvas);
    this.camera.up.set(0, 0, 1);
    const sun = new DirectionalLight(0xffffff, 1.9);
    sun.position.set(-0.5, -0.4, 1);
    this.camera.add(sun);
    this.scene.add(this.camera, new AmbientLight(0xffffff, 1.3), this.parts, this.marks);
    this.scene.add(this.sectionLines);
    this.controls = new OrbitControls(this.camera, this.canvas);
    this.controls.enableDamping = false;
    // The page must still scroll under the pointer: wheel turns need the view's focus or Ctrl.
    this.controls.enableZoom = true;
    this.controls.addEventListener("change", this.later);
    this.controls.addEventListener("start", () => (this.turned = true));
    this.canvas.addEventListener("wheel", this.wheel, { capture: true });
    this.canvas.addEventListener("pointerdown", this.press);
    this.canvas.addEventListener("pointerup", this.release);
    host.addEventListener("keydown", this.key);
    this.watch = new ResizeObserver(() => this.resize());
    this.watch.observe(host);
    this.forget = whenRestored(this.later);
    host.dataset["drawn"] = canDraw() ? "waiting" : "impossible";
  }

  /** Show these parts instead of what was there. */
  show(parts: Part[]): void {
    empty(this.parts);
    for (const part of parts) {
      const thing = part.lines
        ? new LineSegments(part.body, part.material)
        : new Mesh(part.body, part.material);
      thing.userData = { name: part.name, cut: part.cut ?? false };
      this.parts.add(thing);
    }
    this.applyPlane();
    // Parts that arrive later must be seen too, unless the view was already turned by hand.
    if (this.chosen && !this.turned) this.look(this.chosen);
  }

  /** Marks beside the parts: never picked or cut, and changed without building the parts anew. */
  mark(parts: Part[]): void {
    empty(this.marks);
    for (const part of parts) {
      this.marks.add(
        part.lines
          ? new LineSegments(part.body, part.material)
          : new Mesh(part.body, part.material),
      );
    }
    this.later();
  }

  /** Stand so far from a point, looking at it along a direction that points away from it. */
  visit(point: [number, number, number], out: [number, number, number], away: number): void {
    this.turned = true;
    const direction = new Vector3(...out).normalize();
    // Straight above or below, the view would not know which way is up.
    if (Math.hypot(direction.x, direction.y) < 0.05) direction.x = -0.05;
    this.controls.target.set(...point);
    this.camera.position.set(...point).addScaledVector(direction, away);
    this.controls.update();
    this.later();
  }

  /** Look from a side, everything in the picture. */
  look(from: Look): void {
    [this.chosen, this.turned] = [from, false];
    const direction = LOOKS[from].clone().normalize();
    const fit = fitTo(this.parts.children, direction, this.camera);
    if (!fit) return;
    this.controls.target.copy(fit.centre);
    this.camera.position.copy(fit.centre).addScaledVector(direction, fit.away);
    this.controls.update();
    this.later();
  }

  /** Turn towards a point without losing the whole. */
  lookAt(point: [number, number, number]): void {
    this.turned = true;
    this.controls.target.set(...point);
    this.controls.update();
    this.later();
  }

  nearer(factor: number): void {
    this.turned = true;
    const { target } = this.controls;
    this.camera.position.sub(target).divideScalar(factor).add(target);
    this.controls.update();
    this.later();
  }

  /** Least and greatest along an axis of what can be cut. */
  extent(axis: Axis): [number, number] {
    const box = new Box3();
    for (const thing of this.parts.children) if (thing.userData["cut"]) box.expandByObject(thing);
    return box.isEmpty() ? [0, 0] : [box.min[axis], box.max[axis]];
  }

  /** Cut away what lies before (below, left of) the plane, or beyond it; null mends it. */
  cut(at: { axis: Axis; value: number; beyond: boolean } | null, colour: string): void {
    this.plane = null;
    if (at) {
      const normal = new Vector3();
      normal.setComponent(AXES.indexOf(at.axis), at.beyond ? -1 : 1);
      this.plane = new Plane(normal, at.beyond ? at.value : -at.value);
    }
    const pairs: number[] = [];
    for (const thing of at ? this.parts.children : []) {
      if (!(thing instanceof Mesh) || !thing.userData["cut"]) continue;
      const body = thing.geometry as BufferGeometry;
      const corners = body.getAttribute("position").array as Float32Array;
      const sides = body.getIndex()?.array as Uint32Array;
      for (const number of planeSection(corners, sides, at!.axis, at!.value)) pairs.push(number);
    }
    this.sectionLines.geometry.dispose();
    this.sectionLines.geometry = pairsBody(pairs);
    (this.sectionLines.material as LineBasicMaterial).color.set(colour);
    this.host.dataset["section"] = String(pairs.length / 6);
    this.applyPlane();
  }

  readonly later = (): void => {
    this.frame ||= requestAnimationFrame(() => {
      this.frame = 0;
      drawOnto(this.canvas, this.scene, this.camera);
      if (canDraw() && this.parts.children.length > 0) this.host.dataset["drawn"] = "yes";
    });
  };

  remove(): void {
    cancelAnimationFrame(this.frame);
    this.watch.disconnect();
    this.forget();
    this.controls.dispose();
    this.host.removeEventListener("keydown", this.key);
    empty(this.parts);
    empty(this.marks);
    this.sectionLines.geometry.dispose();
    this.canvas.remove();
  }

  private applyPlane(): void {
    for (const thing of this.parts.children as (Object3D & { material: Material })[]) {
      const planes = this.plane && thing.userData["cut"] ? [this.plane] : null;
      thing.material.clippingPlanes = planes;
      thing.material.needsUpdate = true;
    }
    this.later();
  }

  private resize(): void {
    const { clientWidth, clientHeight } = this.host;
    const ratio = Math.min(devicePixelRatio, 2);
    this.canvas.width = Math.round(clientWidth * ratio);
    this.canvas.height = Math.round(clientHeight * ratio);
    this.camera.aspect = clientWidth / Math.max(clientHeight, 1);
    this.camera.updateProjectionMatrix();
    this.later();
  }

  private readonly wheel = (event: WheelEvent): void => {
    const active = document.activeElement;
    if (event.ctrlKey || (active !== null && this.host.contains(active))) return;
    event.stopImmediatePropagation();
  };

  private readonly press = (event: PointerEvent): void => {
    this.down = { x: event.clientX, y: event.clientY };
    this.host.focus({ preventScroll: true });
  };

  private readonly release = (event: PointerEvent): void => {
    if (Math.hypot(event.clientX - this.down.x, event.clientY - this.down.y) > 5) return;
    const frame = this.canvas.getBoundingClientRect();
    const x = ((event.clientX - frame.left) / frame.width) * 2 - 1;
    const y = 1 - ((event.clientY - frame.top) / frame.height) * 2;
    const ray = new Raycaster();
    ray.setFromCamera(new Vector2(x, y), this.camera);
    const hit = ray
      .intersectObjects(this.parts.children, false)
      .find((h) => h.object.userData["name"] !== null && this.stands(h.object, h.point));
    this.onPick((hit?.object.userData["name"] as string | undefined) ?? null, hit?.point ?? null);
  };

  private stands(thing: Object3D, point: Vector3): boolean {
    return !this.plane || !thing.userData["cut"] || this.plane.distanceToPoint(point) >= 0;
  }

  private readonly key = (event: KeyboardEvent): void => {
    if (event.target !== this.host || event.ctrlKey || event.metaKey || event.altKey) return;
    const moves: Record<string, () => void> = {
      ArrowLeft: () => this.turn(-0.12, 0),
      ArrowRight: () => this.turn(0.12, 0),
      ArrowUp: () => this.turn(0, -0.12),
      ArrowDown: () => this.turn(0, 0.12),
      "+": () => this.nearer(1.15),
      "=": () => this.nearer(1.15),
      "-": () => this.nearer(1 / 1.15),
      f: () => this.look("corner"),
    };
    const move = moves[event.key];
    if (!move) return;
    event.preventDefault();
    move();
  };

  private turn(round: number, over: number): void {
    this.turned = true;
    const { target } = this.controls;
    const arm = this.camera.position.clone().sub(target);
    const flat = Math.hypot(arm.x, arm.y);
    const tilt = Math.min(Math.max(Math.atan2(arm.z, flat) - over, -1.55), 1.55);
    const heading = Math.atan2(arm.y, arm.x) + round;
    const length = arm.length();
    arm.set(Math.cos(heading) * Math.cos(tilt), Math.sin(heading) * Math.cos(tilt), Math.sin(tilt));
    this.camera.position.copy(target).addScaledVector(arm, length);
    this.controls.update();
    this.later();
  }
}

function empty(group: Group): void {
  for (const thing of [...group.children]) {
    if (thing instanceof Mesh || thing instanceof LineSegments) {
      (thing.geometry as BufferGeometry).dispose();
      discard(thing.material as Material);
    }
    group.remove(thing);
  }
}
