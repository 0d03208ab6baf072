// A large photograph in tiles: only what is seen is fetched, as fine as it is seen.

const SIDE = 512;
const KEPT = 120;
const AT_ONCE = 6;

interface Tile {
  image: ImageBitmap | null;
  used: number;
}

/** What part of the picture is seen, in its pixels, and how many screen pixels each of them has. */
export interface Seen {
  left: number;
  top: number;
  right: number;
  bottom: number;
  scale: number;
}

export class Tiles {
  private readonly kept = new Map<string, Tile>();
  private readonly coarsest: number;
  private wanted: string[] = [];
  private fetching = 0;
  private clock = 0;
  private gone = false;

  constructor(
    private readonly digest: string,
    private readonly width: number,
    private readonly height: number,
    private readonly arrived: () => void,
  ) {
    const levels = Math.ceil(Math.log2(Math.max(width, height) / SIDE));
    this.coarsest = Math.min(Math.max(levels, 0), 7);
  }

  /** Whether everything that was seen last is there. */
  get whole(): boolean {
    return this.wanted.length === 0 && this.fetching === 0;
  }

  /** Draw in the picture's own coordinates, pixel centres at integers; coarse where not yet fine. */
  draw(paper: CanvasRenderingContext2D, seen: Seen, tell = true): void {
    const fine = Math.min(Math.max(Math.floor(-Math.log2(seen.scale) + 0.35), 0), this.coarsest);
    const missing: string[] = [];
    this.clock++;
    // Pixels are drawn as squares where each of them is several screen pixels wide.
    paper.imageSmoothingEnabled = seen.scale < 3;
    for (let level = this.coarsest; level >= fine; level--) {
      if (level !== fine && level !== this.coarsest && this.covered(fine, seen)) continue;
      this.drawLevel(paper, level, seen, level === fine || level === this.coarsest ? missing : null);
    }
    if (tell) {
      this.wanted = missing;
      this.fetch();
    }
  }

  remove(): void {
    this.gone = true;
    for (const tile of this.kept.values()) tile.image?.close();
    this.kept.clear();
  }

  private covered(level: number, seen: Seen): boolean {
    return this.places(level, seen).every((key) => this.kept.get(key)?.image);
  }

  private drawLevel(
    paper: CanvasRenderingContext2D,
    level: number,
    seen: Seen,
    missing: string[] | null,
  ): void {
    const side = SIDE << level;
    for (const key of this.places(level, seen)) {
      const tile = this.kept.get(key);
      if (!tile?.image) {
        if (!tile) missing?.push(key);
        continue;
      }
      tile.used = this.clock;
      const [, column, row] = key.split("/").map(Number) as [number, number, number];
      const wide = Math.min(side, this.width - column * side);
      const high = Math.min(side, this.height - row * side);
      paper.drawImage(tile.image, column * side - 0.5, row * side - 0.5, wide, high);
    }
  }

  private places(level: number, seen: Seen): string[] {
    const side = SIDE << level;
    const [columns, rows] = [Math.ceil(this.width / side), Math.ceil(this.height / side)];
    const first = (at: number): number => Math.max(Math.floor((at + 0.5) / side), 0);
    const keys: string[] = [];
    for (let row = first(seen.top); row <= Math.min(first(seen.bottom), rows - 1); row++) {
      for (let column = first(seen.left); column <= Math.min(first(seen.right), columns - 1); column++) {
        keys.push(`${level}/${column}/${row}`);
      }
    }
    return keys;
  }

  private fetch(): void {
    while (this.fetching < AT_ONCE && this.wanted.length > 0) {
      const key = this.wanted.shift()!;
      if (this.kept.has(key)) continue;
      this.kept.set(key, { image: null, used: this.clock });
      this.fetching++;
      void this.load(key);
    }
  }

  private async load(key: string): Promise<void> {
    try {
      const answer = await fetch(`/api/tile/${this.digest}/${key}`);
      if (!answer.ok) throw new RangeError(`no tile ${key}`);
      const image = await createImageBitmap(await answer.blob());
      if (this.gone) image.close();
      else this.kept.set(key, { image, used: this.clock });
    } catch {
      // Asked for again when it is next seen: the coarser picture stands there until then.
      this.kept.delete(key);
    }
    this.fetching--;
    if (this.gone) return;
    this.forget();
    this.fetch();
    this.arrived();
  }

  private forget(): void {
    if (this.kept.size <= KEPT) return;
    const old = [...this.kept].filter(([key, tile]) => tile.image && !key.startsWith(`${this.coarsest}/`));
    old.sort(([, a], [, b]) => a.used - b.used);
    for (const [key, tile] of old.slice(0, this.kept.size - KEPT)) {
      tile.image?.close();
      this.kept.delete(key);
    }
  }
}
