"""Text to millimetres and back: feet, inches and fractions, mm, cm, m, decimal comma.

A length is read with exact fractions and only where it can be read in one way: a bare number is
millimetres, a fraction needs its unit, and a comma before three digits is refused, because it
may mean thousands or thousandths.
"""

import re
import unicodedata
from fractions import Fraction
from math import isfinite
from typing import Literal

from buckwright.errors import JobError

__all__ = ["LengthSystem", "format_both", "format_length", "parse_length"]

LengthSystem = Literal["mm", "inch"]

INCH = Fraction(254, 10)
LONGEST_TEXT = 40
DENOMINATORS = (1, 2, 4, 8, 16, 32, 64)

_METRIC = {"": Fraction(1), "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}
_MARKS = str.maketrans(
    {
        **dict.fromkeys("‘’′ʹ`´", "'"),
        **dict.fromkeys("“”″ʺ", '"'),
        **dict.fromkeys("−–—‐‑", "-"),
        **dict.fromkeys("⁄∕", "/"),
    }
)
_AMOUNT = r"\d+/\d+|\d+(?:[ -]\d+/\d+)?|\d*[.,]\d+"
_FEET = r"(?:'|ft\.?|foot|feet)"
_INCHES = r"(?:\"|''|in\.?|inch|inches)"
_METRIC_TEXT = re.compile(rf"(?P<amount>{_AMOUNT}) ?(?P<unit>|mm|cm|m)", re.ASCII)
_FEET_TEXT = re.compile(
    rf"(?P<feet>{_AMOUNT}) ?{_FEET}(?: ?-? ?(?P<inches>{_AMOUNT})(?: ?{_INCHES})?)?", re.ASCII
)
_INCH_TEXT = re.compile(rf"(?P<inches>{_AMOUNT}) ?{_INCHES}", re.ASCII)


def parse_length(text: str) -> float:
    """Millimetres that the text says, rounded once, from the exact fraction.

    A sign in front counts for the whole length. A bare whole or decimal number is millimetres.
    Raises JobError where the text is no length, or can be read in two ways.
    """
    plain = _plain(text)
    negative = plain.startswith("-")
    body = plain.lstrip("+-").strip() if plain[:1] in ("+", "-") else plain
    if len(plain) > LONGEST_TEXT or plain[:2] in ("--", "+-", "-+", "++"):
        raise _refusal(text, "is not a length", "Write it like 1611 mm, 1.611 m or 5' 3 7/16\".")
    size = _size(text, body)
    return float(-size if negative else size)


def format_length(mm: float, *, system: LengthSystem, denominator: int = 16) -> str:
    """The length as the shop writes it: `1611.3 mm`, or `5' 3 7/16"` to 1/denominator inch.

    Rounds half away from zero; tenths of a millimetre. Raises ValueError for a length that is
    not finite or a denominator that is no power of two up to 64.
    """
    if not isfinite(mm):
        message = "a length must be finite"
        raise ValueError(message)
    if denominator not in DENOMINATORS:
        message = f"the denominator must be one of {DENOMINATORS}"
        raise ValueError(message)
    size = abs(Fraction(repr(float(mm))))
    text = _tenths(size) if system == "mm" else _feet_and_inches(size / INCH, denominator)
    return f"-{text}" if mm < 0.0 and re.search("[1-9]", text) else text


def format_both(mm: float, *, denominator: int = 16) -> str:
    """Millimetres with feet, inches and fractions beside them: `1611.3 mm (5' 3 7/16")`."""
    inches = format_length(mm, system="inch", denominator=denominator)
    return f"{format_length(mm, system='mm')} ({inches})"


def _plain(text: str) -> str:
    spread = "".join(f" {c}" if unicodedata.category(c) == "No" else c for c in text)
    # Marks are put right before and after, because compatibility forms hide some and make others.
    marks = unicodedata.normalize("NFKC", spread.translate(_MARKS)).translate(_MARKS).lower()
    return re.sub(r" ?/ ?", "/", " ".join(marks.split()))


def _size(text: str, body: str) -> Fraction:
    if metric := _METRIC_TEXT.fullmatch(body):
        if "/" in metric["amount"] and not metric["unit"]:
            raise _refusal(text, "is a fraction without a unit", f'Write {body}" or {body} mm.')
        return _amount(text, metric["amount"]) * _METRIC[metric["unit"]]
    if inches := _INCH_TEXT.fullmatch(body):
        return _amount(text, inches["inches"]) * INCH
    if feet := _FEET_TEXT.fullmatch(body):
        return _feet(text, feet["feet"], feet["inches"]) * INCH
    raise _refusal(text, "is not a length", "Write it like 1611 mm, 1.611 m or 5' 3 7/16\".")


def _feet(text: str, feet: str, inches: str | None) -> Fraction:
    if inches is None:
        return 12 * _amount(text, feet)
    if not feet.isdigit():
        raise _refusal(
            text, "has inches after a part of a foot", "Write whole feet before the inches."
        )
    rest = _amount(text, inches)
    if rest >= 12:
        raise _refusal(
            text, "has 12 inches or more after the feet", "Write feet and less than 12 inches."
        )
    return 12 * Fraction(int(feet)) + rest


def _amount(text: str, amount: str) -> Fraction:
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", amount):
        dotted, joined = amount.replace(",", "."), amount.replace(",", "")
        raise _refusal(text, "can be read in two ways", f"Write {joined} or {dotted}.")
    if "/" not in amount:
        return Fraction(amount.replace(",", "."))
    whole, _, fraction = amount.replace("-", " ").rpartition(" ")
    over, under = (int(part) for part in fraction.split("/"))
    if under == 0:
        raise _refusal(text, "divides by zero", "Write the fraction with a number below the line.")
    if whole and over >= under:
        raise _refusal(text, "has a fraction of one or more", 'Write it like 3 7/16".')
    return Fraction(whole or 0) + Fraction(over, under)


def _refusal(text: str, why: str, remedy: str) -> JobError:
    return JobError(f"'{text.strip()[: LONGEST_TEXT + 1]}' {why}.", remedy)


def _rounded(value: Fraction) -> int:
    return int(value + Fraction(1, 2))


def _tenths(size: Fraction) -> str:
    whole, tenth = divmod(_rounded(size * 10), 10)
    return f"{whole}.{tenth} mm" if tenth else f"{whole} mm"


def _feet_and_inches(inches: Fraction, denominator: int) -> str:
    parts = _rounded(inches * denominator)
    feet, rest = divmod(parts, 12 * denominator)
    whole, over = divmod(rest, denominator)
    words = [f"{feet}'"] if feet else []
    if whole or feet or not over:
        words.append(str(whole))
    if over:
        words.append(str(Fraction(over, denominator)))
    return " ".join(words) + '"'
