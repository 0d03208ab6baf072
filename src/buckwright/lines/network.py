"""The network of fair lines: laid together, pulled where the hand wants it, drawn on both sides."""

from buckwright.lines.both_sides import both_sides
from buckwright.lines.hand_doubts import pull_doubts, run_on_doubts
from buckwright.lines.laying import Laid, lay_network
from buckwright.lines.pulling import pull_lines, with_battens
from buckwright.lines.standing import crossings_at, line_now, standing
from buckwright.model.holds import LineHold
from buckwright.model.lines import BattenChoice, Line, LineNetwork, LineSpec, Pin, PlacedLine

__all__ = ["drawn_network", "fair_network"]


def fair_network(
    placed: tuple[PlacedLine, ...],
    specs: tuple[LineSpec, ...],
    pins: tuple[Pin, ...] = (),
    battens: tuple[BattenChoice, ...] = (),
    holds: tuple[LineHold, ...] = (),
) -> LineNetwork:
    """The fair lines with their crossings, in the order of `placed`, and what is in doubt.

    Lines of a pair end as exact mirror images; lines over the whole width are exactly symmetric,
    centre lines lie exactly in y = 0. Lines that cross share the point within 1e-6 mm.
    Raises JobError where the points of a line do not make a line, or a pin or hold cannot be.
    """
    return drawn_network(lay_network(placed, specs, holds), pins, battens)


def drawn_network(
    laid: Laid, pins: tuple[Pin, ...] = (), battens: tuple[BattenChoice, ...] = ()
) -> LineNetwork:
    """The network of lines that are laid already, pulled to these pins.

    Raises JobError where a pin cannot be.
    """
    pulled = pull_lines(with_battens(laid, battens), pins)
    stood = standing(laid)
    lines: dict[str, Line] = {}
    for still, line, control in zip(stood.lines, laid.lines, pulled.controls, strict=True):
        lines |= both_sides(line_now(still, line, control), line.sided)
    doubts = [*stood.doubts, *pull_doubts(laid, pulled), *run_on_doubts(laid, pulled)]
    order = [name for name in laid.order if name in lines]
    order += [name for name in lines if name not in order]
    return LineNetwork(
        lines=tuple(lines[name] for name in order),
        crossings=crossings_at(stood.meetings, pulled.points),
        findings=tuple(doubts),
    )
