// Moving about in a flat picture: wheel, drag, two fingers, keys. Works on an SVG's viewBox.

export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

const NEAREST = 40;

export class PanZoom {
  private box: Box;
  private readonly pointers = new Map<string, { x: number; y: number }>();
  private moved = 0;

  constructor(
    private readonly svg: SVGSVGElement,
    private readonly home: Box,
    private readonly changed: (box: Box, scale: number) => void = () => undefined,
  ) {
    this.box = { ...home };
    svg.addEventListener("wheel", this.wheel, { passive: false });
    svg.addEventListener("pointerdown", this.down);
    svg.addEventListener("pointermove", this.move);
    svg.addEventListener("pointerup", this.up);
    svg.addEventListener("pointercancel", this.up);
    svg.addEventListener("keydown", this.key);
    this.show();
  }

  /** Whether the last press was a drag, so that the click after it picks nothing. */
  get dragged(): boolean {
    return this.moved > 5;
  }

  fit(): void {
    this.box = { ...this.home };
    this.show();
  }

  /** Bring a place into the middle, so many units wide. */
  visit(at: { x: number; y: number }, wide: number): void {
    const width = Math.min(Math.max(wide, this.home.width / NEAREST), this.home.width);
    const height = (this.home.height * width) / this.home.width;
    this.box = { x: at.x - width / 2, y: at.y - height / 2, width, height };
    this.show();
  }

  /** Nearer (factor above 1) or farther, about a place in the picture or its middle. */
  zoom(factor: number, at?: { x: number; y: number }): void {
    const { x, y, width, height } = this.box;
    const [least, most] = [this.home.width / NEAREST, this.home.width * 1.5];
    const wide = Math.min(Math.max(width / factor, least), most);
    const share = wide / width;
    const centre = at ?? { x: x + width / 2, y: y + height / 2 };
    this.box = {
      x: centre.x - (centre.x - x) * share,
      y: centre.y - (centre.y - y) * share,
      width: wide,
      height: height * share,
    };
    this.show();
  }

  pan(right: number, down: number): void {
    this.box.x += right * this.box.width;
    this.box.y += down * this.box.height;
    this.show();
  }

  remove(): void {
    this.svg.removeEventListener("wheel", this.wheel);
    this.svg.removeEventListener("pointerdown", this.down);
    this.svg.removeEventListener("pointermove", this.move);
    this.svg.removeEventListener("pointerup", this.up);
    this.svg.removeEventListener("pointercancel", this.up);
    this.svg.removeEventListener("keydown", this.key);
  }

  private show(): void {
    const { x, y, width, height } = this.box;
    this.svg.setAttribute("viewBox", `${x} ${y} ${width} ${height}`);
    this.changed(this.box, this.home.width / width);
  }

  /** The picture's place under a place on the screen. */
  private place(event: { clientX: number; clientY: number }): { x: number; y: number } {
    const matrix = this.svg.getScreenCTM();
    if (!matrix) return { x: 0, y: 0 };
    return new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
  }

  private readonly wheel = (event: WheelEvent): void => {
    // The page must still scroll under the pointer, so a bare wheel zooms only what has the focus.
    if (!event.ctrlKey && document.activeElement !== this.svg) return;
    event.preventDefault();
    this.zoom(Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.0016)), this.place(event));
  };

  private readonly down = (event: PointerEvent): void => {
    if (this.pointers.size === 0) this.moved = 0;
    this.pointers.set(String(event.pointerId), { x: event.clientX, y: event.clientY });
  };

  private readonly move = (event: PointerEvent): void => {
    const before = this.pointers.get(String(event.pointerId));
    if (!before) return;
    const now = { x: event.clientX, y: event.clientY };
    this.moved += Math.hypot(now.x - before.x, now.y - before.y);
    const others = [...this.pointers].filter(([id]) => id !== String(event.pointerId));
    this.pointers.set(String(event.pointerId), now);
    if (!this.dragged) return;
    if (!this.svg.hasPointerCapture(event.pointerId)) this.svg.setPointerCapture(event.pointerId);
    const frame = this.svg.getBoundingClientRect();
    const scale = Math.max(this.box.width / frame.width, this.box.height / frame.height);
    const weight = 1 / this.pointers.size;
    this.box.x -= (now.x - before.x) * scale * weight;
    this.box.y -= (now.y - before.y) * scale * weight;
    const other = others[0]?.[1];
    if (other) {
      const wide = Math.hypot(now.x - other.x, now.y - other.y);
      const narrow = Math.hypot(before.x - other.x, before.y - other.y);
      const middle = { clientX: (now.x + other.x) / 2, clientY: (now.y + other.y) / 2 };
      if (wide > 0 && narrow > 0) this.zoom(wide / narrow, this.place(middle));
    }
    this.show();
  };

  private readonly up = (event: PointerEvent): void => {
    this.pointers.delete(String(event.pointerId));
  };

  private readonly key = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = event.shiftKey ? 0.01 : 0.1;
    const moves: Record<string, () => void> = {
      ArrowLeft: () => this.pan(-step, 0),
      ArrowRight: () => this.pan(step, 0),
      ArrowUp: () => this.pan(0, -step),
      ArrowDown: () => this.pan(0, step),
      "+": () => this.zoom(1.25),
      "=": () => this.zoom(1.25),
      "-": () => this.zoom(0.8),
      f: () => this.fit(),
    };
    const move = moves[event.key];
    if (!move) return;
    event.preventDefault();
    move();
  };
}
