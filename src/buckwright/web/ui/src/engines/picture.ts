// A photograph on a canvas: moved about and come near to at any size, with something drawn over it.

import { Tiles, type Seen } from "./tiles";

export type Place = [number, number];

/** Draws over the picture; `at` gives the screen place of a picture's place. */
export type Overlay = (paper: CanvasRenderingContext2D, at: (px: Place) => Place) => void;

const NEAREST = 24;
const LOUPE = { radius: 92, scale: 5, gap: 14 };

export class PictureView {
  readonly canvas = document.createElement("canvas");
  private readonly tiles: Tiles;
  private readonly watch: ResizeObserver;
  private readonly page: ResizeObserver;
  private stood = { top: 0, scroll: 0 };
  private scale = 1;
  private shift: Place = [0, 0];
  private frame = 0;
  private fitted = true;
  private wide = 0;
  private high = 0;
  /** Where the magnifier looks; null for none. */
  private looked: Place | null = null;
  drawn = 0;

  constructor(
    private readonly host: HTMLElement,
    digest: string,
    private readonly size: Place,
    private turns: number,
    private readonly overlay: Overlay,
  ) {
    this.tiles = new Tiles(digest, size[0], size[1], this.later);
    host.append(this.canvas);
    host.addEventListener("wheel", this.wheel, { passive: false });
    this.watch = new ResizeObserver(() => this.resize());
    this.watch.observe(host);
    this.page = new ResizeObserver(() => this.stayUnderTheHand());
    this.page.observe(document.body);
    addEventListener("scroll", this.stand, { passive: true });
    this.stand();
    this.resize();
  }

  remove(): void {
    cancelAnimationFrame(this.frame);
    this.watch.disconnect();
    this.page.disconnect();
    removeEventListener("scroll", this.stand);
    this.host.removeEventListener("wheel", this.wheel);
    this.tiles.remove();
    this.canvas.remove();
  }

  /** How many CSS pixels a pixel of the picture has. */
  get nearness(): number {
    return this.scale;
  }

  get turned(): number {
    return this.turns;
  }

  /** Place in the host, in CSS pixels, of a place in the picture. */
  readonly toScreen = (px: Place): Place => {
    const [x, y] = this.turn(px, this.turns);
    return [x * this.scale + this.shift[0], y * this.scale + this.shift[1]];
  };

  readonly toPicture = ([x, y]: Place): Place => {
    const flat: Place = [(x - this.shift[0]) / this.scale, (y - this.shift[1]) / this.scale];
    return this.turn(flat, 4 - this.turns);
  };

  /** Place in the host of an event. */
  placeOf(event: { clientX: number; clientY: number }): Place {
    const frame = this.host.getBoundingClientRect();
    return [event.clientX - frame.left - this.host.clientLeft, event.clientY - frame.top - this.host.clientTop];
  }

  fit(): void {
    const corners = [this.turn([-0.5, -0.5], this.turns), this.turn([this.size[0] - 0.5, this.size[1] - 0.5], this.turns)];
    const [left, right] = [Math.min(corners[0]![0], corners[1]![0]), Math.max(corners[0]![0], corners[1]![0])];
    const [top, bottom] = [Math.min(corners[0]![1], corners[1]![1]), Math.max(corners[0]![1], corners[1]![1])];
    this.scale = Math.min(this.wide / (right - left), this.high / (bottom - top));
    this.shift = [
      this.wide / 2 - (this.scale * (left + right)) / 2,
      this.high / 2 - (this.scale * (top + bottom)) / 2,
    ];
    this.fitted = true;
    this.later();
  }

  /** A quarter turn clockwise, to see it upright; pixels stay what they are. */
  turnRound(): void {
    this.turns = (this.turns + 1) % 4;
    this.fit();
  }

  zoom(factor: number, about: Place = [this.wide / 2, this.high / 2]): void {
    const least = 0.5 * Math.min(this.wide / Math.max(...this.size), this.high / Math.max(...this.size));
    const scale = Math.min(Math.max(this.scale * factor, least), NEAREST);
    const share = scale / this.scale;
    this.shift = [
      about[0] - (about[0] - this.shift[0]) * share,
      about[1] - (about[1] - this.shift[1]) * share,
    ];
    this.scale = scale;
    this.fitted = false;
    this.later();
  }

  pan(right: number, down: number): void {
    this.shift = [this.shift[0] + right, this.shift[1] + down];
    this.fitted = false;
    this.later();
  }

  /** Move so that a place is seen, and come near enough to work on it. */
  visit(px: Place, least = 0): void {
    if (this.scale < least) this.zoom(least / this.scale, this.toScreen(px));
    const [x, y] = this.toScreen(px);
    const edge = Math.min(60, this.wide / 4, this.high / 4);
    const over = (at: number, size: number): number =>
      at < edge ? edge - at : at > size - edge ? size - edge - at : 0;
    const [right, down] = [over(x, this.wide), over(y, this.high)];
    if (right !== 0 || down !== 0) this.pan(right, down);
  }

  look(px: Place | null): void {
    this.looked = px;
    this.later();
  }

  readonly later = (): void => {
    this.frame ||= requestAnimationFrame(() => {
      this.frame = 0;
      this.draw();
    });
  };

  private turn([x, y]: Place, turns: number): Place {
    switch (turns % 4) {
      case 1:
        return [-y, x];
      case 2:
        return [-x, -y];
      case 3:
        return [y, -x];
      default:
        return [x, y];
    }
  }

  private readonly stand = (): void => {
    this.stood = { top: this.host.getBoundingClientRect().top, scroll: scrollY };
  };

  /** What appears above must not push the picture away from under the hand: the page scrolls. */
  private stayUnderTheHand(): void {
    const by = this.host.getBoundingClientRect().top - this.stood.top;
    if (Math.abs(by) >= 1 && scrollY === this.stood.scroll) scrollBy(0, by);
    this.stand();
  }

  private resize(): void {
    const { clientWidth, clientHeight } = this.host;
    if (clientWidth === 0 || clientHeight === 0) return;
    const ratio = Math.min(devicePixelRatio, 2);
    const before: Place = [this.wide, this.high];
    [this.wide, this.high] = [clientWidth, clientHeight];
    this.canvas.width = Math.round(clientWidth * ratio);
    this.canvas.height = Math.round(clientHeight * ratio);
    if (this.fitted) this.fit();
    else this.pan((this.wide - before[0]) / 2, (this.high - before[1]) / 2);
  }

  private draw(): void {
    const paper = this.canvas.getContext("2d");
    if (!paper || this.wide === 0) return;
    const ratio = this.canvas.width / this.wide;
    paper.setTransform(1, 0, 0, 1, 0, 0);
    paper.clearRect(0, 0, this.canvas.width, this.canvas.height);
    this.drawPicture(paper, ratio, this.scale, this.shift, [0, 0, this.wide, this.high]);
    paper.setTransform(ratio, 0, 0, ratio, 0, 0);
    this.overlay(paper, this.toScreen);
    if (this.looked) this.drawLoupe(paper, ratio, this.looked);
    this.drawn++;
    this.host.dataset["whole"] = String(this.tiles.whole);
    this.host.dataset["nearness"] = this.scale.toFixed(6);
    this.host.dataset["corner"] = this.shift.map((at) => at.toFixed(3)).join(" ");
  }

  private drawPicture(
    paper: CanvasRenderingContext2D,
    ratio: number,
    scale: number,
    shift: Place,
    [left, top, right, bottom]: [number, number, number, number],
    tell = true,
  ): void {
    const back = (x: number, y: number): Place =>
      this.turn([(x - shift[0]) / scale, (y - shift[1]) / scale], 4 - this.turns);
    const [a, b] = [back(left, top), back(right, bottom)];
    const seen: Seen = {
      left: Math.min(a[0], b[0]),
      top: Math.min(a[1], b[1]),
      right: Math.max(a[0], b[0]),
      bottom: Math.max(a[1], b[1]),
      scale: scale * ratio,
    };
    const [x, y] = [this.turn([1, 0], this.turns), this.turn([0, 1], this.turns)];
    const k = ratio * scale;
    paper.setTransform(x[0] * k, x[1] * k, y[0] * k, y[1] * k, shift[0] * ratio, shift[1] * ratio);
    this.tiles.draw(paper, seen, tell);
  }

  /** A round glass in the corner that is farthest from where it looks. */
  private drawLoupe(paper: CanvasRenderingContext2D, ratio: number, px: Place): void {
    const { radius, gap } = LOUPE;
    const scale = Math.max(LOUPE.scale, 1.6 * this.scale);
    const here = this.toScreen(px);
    const far = radius * 2 + gap * 3;
    const middle: Place = [
      here[0] < far && here[1] < far ? this.wide - radius - gap : radius + gap,
      radius + gap,
    ];
    const [x, y] = this.turn(px, this.turns);
    const shift: Place = [middle[0] - x * scale, middle[1] - y * scale];
    paper.save();
    paper.beginPath();
    paper.arc(middle[0], middle[1], radius, 0, 2 * Math.PI);
    paper.clip();
    paper.fillStyle = "#23282a";
    paper.fill();
    this.drawPicture(
      paper, ratio, scale, shift,
      [middle[0] - radius, middle[1] - radius, middle[0] + radius, middle[1] + radius], false,
    );
    paper.setTransform(ratio, 0, 0, ratio, 0, 0);
    this.overlay(paper, (at) => {
      const [u, v] = this.turn(at, this.turns);
      return [u * scale + shift[0], v * scale + shift[1]];
    });
    paper.restore();
    paper.lineWidth = 2;
    paper.strokeStyle = "#ffffff";
    paper.beginPath();
    paper.arc(middle[0], middle[1], radius, 0, 2 * Math.PI);
    paper.stroke();
    paper.lineWidth = 1;
    paper.beginPath();
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]] as const) {
      paper.moveTo(middle[0] + 7 * dx, middle[1] + 7 * dy);
      paper.lineTo(middle[0] + 26 * dx, middle[1] + 26 * dy);
    }
    paper.stroke();
  }

  private readonly wheel = (event: WheelEvent): void => {
    // The page must still scroll under the pointer, so a bare wheel zooms only what has the focus.
    if (!event.ctrlKey && document.activeElement !== this.host) return;
    event.preventDefault();
    this.zoom(Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.0016)), this.placeOf(event));
  };
}
