"""Lines of the small cab in the hand: cases that Python and the page's TypeScript must agree on.

`python tests/pulls_on_paper.py` writes them to tests/data/battens.json.
"""

import json
from pathlib import Path

import numpy as np

from buckwright.lines.condensing import feel_line
from buckwright.lines.departing import moved_along
from buckwright.lines.laying import Laid, lay_network
from buckwright.lines.network import drawn_network
from buckwright.model.holds import EndTangent, LineHold, StraightRun
from buckwright.model.lines import BattenChoice, Departure, Pin
from buckwright.web.loft import felt_json
from small_cab import SPECS, placed_lines

CASES = Path(__file__).parent / "data" / "battens.json"
SHARES = np.linspace(0.0, 1.0, 13)

ZONES = (
    Departure(name="longer", reason="load", axis="x", start=600.0, end=1000.0, by=60.0),
    Departure(name="wider", reason="two abreast", axis="y", start=-300.0, end=300.0, by=40.0),
)

PULLS = {
    "a centre line, up": [("roof centre", 0.4, (None, None, 20.0))],
    "an arch at one side, forward and out": [("front arch", 0.3, (-10.0, -6.0, None))],
    "an arch at its middle": [("rear arch", 0.5, (None, None, 15.0))],
    "the right one of a pair": [("belt right", 0.5, (None, 15.0, None))],
    "a closed line": [("hatch left", 0.1, (4.0, -3.0, 9.0))],
    "two pins": [("belt left", 0.2, (0.0, None, 12.0)), ("belt left", 0.75, (0.0, None, -8.0))],
    "a crossing": [("roof centre", 0.0, (0.0, None, 18.0))],
    "with a pin on a line that crosses": [
        ("belt left", 0.4, (None, None, 14.0)),
        ("rear arch", 0.2, (11.0, None, None)),
    ],
    "with a stiff batten": [("belt left", 0.4, (None, -9.0, None))],
}
HELD_PULLS = {
    "a straight run and a corner": [("belt left", 0.3, (None, -4.0, 14.0))],
    "an end whose direction is held": [("roof centre", 0.15, (None, None, 15.0))],
    "an arch with two corners": [("front arch", 0.35, (-10.0, -6.0, None))],
    "a closed line with a straight run": [("hatch left", 0.3, (4.0, -3.0, 9.0))],
    "a line that is straight up to its end": [("sill left", 0.5, (None, -5.0, 8.0))],
}
"""By what they try: pins of the first line named, moves in mm; those of lines that keep things."""

HOLDS = (
    LineHold(line="belt right", straights=(StraightRun(start=0.2, end=0.4),), corners=(0.4, 0.75)),
    LineHold(
        line="roof centre",
        tangents=(EndTangent(end="first", way="direction", direction=(1.0, 0.0, 0.1)),),
    ),
    LineHold(line="front arch", corners=(0.2,)),
    LineHold(line="hatch left", straights=(StraightRun(start=0.3, end=0.36),), corners=(0.36,)),
    LineHold(line="sill left", straights=(StraightRun(start=0.0, end=0.25),)),
)

BATTENS = {"with a stiff batten": (BattenChoice(line="belt right", stiffness=64.0),)}


def laid_lines() -> Laid:
    return lay_network(placed_lines(sigma=1.0, spacing=110.0), SPECS)


def held_lines() -> Laid:
    """The same lines, keeping HOLDS."""
    return lay_network(placed_lines(sigma=1.0, spacing=110.0), SPECS, HOLDS)


def pins_of(laid: Laid, name: str) -> tuple[Pin, ...]:
    """The pins of a case, set out from where the lines lie."""
    before = drawn_network(laid)
    pins = []
    for line, share, move in (PULLS | HELD_PULLS)[name]:
        point = before.line(line).curve()(share)
        x, y, z = (None if m is None else float(p + m) for p, m in zip(point, move, strict=True))
        pins.append(Pin(line=line, share=share, point=(x, y, z)))
    return tuple(pins)


def make_case(laid: Laid, name: str) -> dict:
    """What the page is given for a case, and where Python says that the lines go."""
    pins, battens = pins_of(laid, name), BATTENS.get(name, ())
    pulled = pins[0].line
    network = drawn_network(laid, pins, battens)
    # The page holds the laid line: the left one of a pair.
    felt = felt_json(feel_line(laid, pulled, pins, battens))
    line = network.line(felt["name"])
    curve = line.curve()
    points = curve(SHARES)
    others = {
        names[0]: network.line(names[0]).curve()(np.linspace(0.0, 1.0, 61)).tolist()
        for names in (follower["names"] for follower in felt["followers"])
    }
    return {
        "name": name,
        "batten": felt,
        "grips": [[pin.share, pin.point] for pin in pins if pin.line == pulled],
        "shares": SHARES.tolist(),
        "points": points.tolist(),
        "departed": np.column_stack(
            [moved_along(points[:, 0], ZONES[:1]), moved_along(points[:, 1], ZONES[1:]),
             points[:, 2]]
        ).tolist(),
        "bends": bends_of(curve).tolist(),
        "others": others,
    }  # fmt: skip


def bends_of(curve) -> np.ndarray:
    """Curvature vectors, 1/mm, of the curve itself."""
    at = np.clip(SHARES, 1e-9, 1.0 - 1e-9)
    run, turn = curve(at, nu=1), curve(at, nu=2)
    square = np.sum(run**2, axis=1, keepdims=True)
    return (turn - np.sum(turn * run, axis=1, keepdims=True) / square * run) / square


def main() -> None:
    laid, held = laid_lines(), held_lines()
    zones = [z.model_dump(include={"axis", "start", "end", "by"}) for z in ZONES]
    cases = {
        "zones": zones,
        "cases": [
            *(make_case(laid, name) for name in PULLS),
            *(make_case(held, name) for name in HELD_PULLS),
        ],
    }
    CASES.write_text(json.dumps(cases, separators=(",", ":")) + "\n")


if __name__ == "__main__":
    main()
