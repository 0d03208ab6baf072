// Lengths as the shop writes them. The cases in tests/data/lengths.json hold this and Python's
// `units` to the same answers; typed lengths are read by Python alone.

export type System = "mm" | "inch";

const DENOMINATORS = [1, 2, 4, 8, 16, 32, 64];

/** A length as `1611.3 mm`, or as `5' 3 7/16"` to 1/denominator inch; half rounds away from zero. */
export function formatLength(mm: number, system: System, denominator = 16): string {
  if (!Number.isFinite(mm)) throw new RangeError("a length must be finite");
  if (!DENOMINATORS.includes(denominator)) throw new RangeError("no such denominator");
  const [over, under] = exactFraction(Math.abs(mm));
  const text =
    system === "mm"
      ? tenths(rounded(over * 10n, under))
      : feetAndInches(rounded(over * 10n * BigInt(denominator), under * 254n), denominator);
  const nothing = text === "0 mm" || text === '0"';
  return mm < 0 && !nothing ? `-${text}` : text;
}

/** A doubt or a gap: hundredths of a millimetre, or thousandths of an inch. */
export function formatFine(mm: number, system: System): string {
  if (system === "inch") return `${minus((mm / 25.4).toFixed(3))}"`;
  return `${minus(mm.toFixed(Math.abs(mm) < 10 ? 2 : 1))} mm`;
}

/** A long run of stock: metres or feet. */
export function formatRun(mm: number, system: System): string {
  return system === "mm" ? `${(mm / 1000).toFixed(1)} m` : `${(mm / 304.8).toFixed(1)} ft`;
}

/** An area in mm^2: square metres or square feet. */
export function formatArea(mm2: number, system: System): string {
  return system === "mm" ? `${(mm2 / 1e6).toFixed(3)} m²` : `${(mm2 / 92903.04).toFixed(2)} ft²`;
}

/** A mass in kg: kilograms or pounds. */
export function formatMass(kg: number, system: System): string {
  const value = system === "mm" ? kg : kg / 0.45359237;
  return `${value.toFixed(value < 10 ? 2 : 1)} ${system === "mm" ? "kg" : "lb"}`;
}

/** Plain sentences of the steps, their millimetres written in the units that were chosen. */
export function inUnits(sentence: string, system: System): string {
  if (system === "mm") return sentence;
  return sentence.replace(/(-?\d+(?:\.(\d+))?) mm\b(?!²|\^)/g, (_, number: string, decimals) => {
    const small = Math.abs(Number(number)) < 10 || String(decimals ?? "").length > 1;
    return small ? formatFine(Number(number), system) : formatLength(Number(number), system);
  });
}

/** The shortest decimal that stands for the number, as a fraction: Python reads it the same way. */
function exactFraction(value: number): [bigint, bigint] {
  const [digits = "0", exponent = "0"] = value.toExponential().split("e");
  const [whole = "0", decimals = ""] = digits.split(".");
  const over = BigInt(whole + decimals);
  const power = Number(exponent) - decimals.length;
  return power >= 0 ? [over * 10n ** BigInt(power), 1n] : [over, 10n ** BigInt(-power)];
}

function rounded(over: bigint, under: bigint): bigint {
  return (2n * over + under) / (2n * under);
}

function tenths(count: bigint): string {
  const tenth = count % 10n;
  return tenth ? `${count / 10n}.${tenth} mm` : `${count / 10n} mm`;
}

function feetAndInches(parts: bigint, denominator: number): string {
  const under = BigInt(denominator);
  const feet = parts / (12n * under);
  const rest = parts % (12n * under);
  const whole = rest / under;
  const over = rest % under;
  const words: string[] = [];
  if (feet) words.push(`${feet}'`);
  if (whole || feet || !over) words.push(String(whole));
  if (over) words.push(simplest(over, under));
  return `${words.join(" ")}"`;
}

function simplest(over: bigint, under: bigint): string {
  while (over % 2n === 0n) {
    over /= 2n;
    under /= 2n;
  }
  return `${over}/${under}`;
}

function minus(text: string): string {
  return text.replace("-", "−");
}
