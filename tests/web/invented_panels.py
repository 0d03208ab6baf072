"""What the invented job's one panel needs beside its blank: work, edges, grid, paper, sheets."""

import numpy as np

from buckwright.model.grid import GridLine, PanelGrid
from buckwright.model.marks import BlankMark, Notch
from buckwright.model.nesting import LaidPiece, Layout, Rectangle, SheetLayout
from buckwright.model.panels import EdgeMake, MapArea, OtherMetal, PanelEdge, PanelVerdict, WorkStep
from buckwright.model.papers import PaperJoint, PaperPattern, PaperStrip

NAME = "front wing crown"


def areas(vertices, triangles, flat):
    """The middle to stretch, the outer edge to shrink, the rest to leave."""
    across = flat[triangles].mean(axis=1)[:, 1]
    middle, outer = np.flatnonzero(np.abs(across) < 40.0), np.flatnonzero(across > 95.0)
    rest = np.setdiff1d(np.arange(len(triangles)), np.concatenate([middle, outer]))
    centre = vertices[triangles].mean(axis=1)
    return (
        MapArea(
            kind="shrink",
            area=60000.0,
            mean=-0.031,
            peak=-0.055,
            centre=centre[outer[len(outer) // 2]],
            words="shrink the outer edge by 3 % over 1.2 m",
            triangles=outer,
            order=1,
            thickness=1.65,
            radii=(340.0, 900.0),
            bend="crowned",
        ),
        MapArea(
            kind="stretch",
            area=120000.0,
            mean=0.024,
            peak=0.037,
            centre=centre[middle[len(middle) // 2]],
            words="stretch the middle by 2 %, wheel it over a low anvil",
            triangles=middle,
            order=2,
            thickness=1.54,
            radii=(340.0, 1400.0),
            bend="crowned",
            anvil=300.0,
        ),
        MapArea(
            kind="leave",
            area=90000.0,
            mean=0.001,
            peak=0.009,
            centre=centre[rest[0]],
            words="leave it flat",
            triangles=rest,
        ),
    )


def work():
    return (
        WorkStep(number=1, what="shrink", areas=(0,), words="shrink the outer edge by 3 %"),
        WorkStep(number=2, what="stretch", areas=(1,), words="stretch the middle by 2 %"),
        WorkStep(number=3, what="trim", areas=(), words="offer up, mark, and trim to the line"),
    )


def rim(edge):
    """The rim in two runs: the wing's edge, and a seam."""
    half = len(edge) // 2
    return (
        PanelEdge(name="front wing edge", vertices=edge[: half + 1]),
        PanelEdge(name="crown seam", vertices=np.append(edge[half:], edge[0]), seam=True),
    )


def edge_makes():
    return (
        EdgeMake(
            name="front wing edge",
            treatment="flange",
            allowance=14.2,
            length=1230.0,
            strain=(-0.021, 0.0),
            words="turn a flange of 12 mm to the inside",
            source="memory",
        ),
        EdgeMake(
            name="crown seam",
            treatment="weld",
            allowance=10.0,
            length=1230.0,
            words="leave 10 mm on for trimming to the weld",
            source="memory",
        ),
    )


def verdict():
    return PanelVerdict(
        step="with care",
        reason="It stretches 3.7 %, and the table's least elongation is 4 %.",
        elongation=0.04,
        source="ASTM B209",
        anneal="Anneal when it begins to stiffen, at 413 °C.",
        others=(
            OtherMetal(
                alloy="3003-O",
                thickness=1.6,
                step="takes it",
                share=0.16,
                words="3003-O of 1.6 mm takes it: needs 3.7 % of 23 %",
            ),
        ),
    )


def notches():
    return (
        Notch(
            ring=np.array([[600.0, 100.0], [610.0, 96.0], [612.0, 104.0]]),
            corner=(610, 90),
            turn=0.4,
        ),
    )


def marks():
    return (
        BlankMark(kind="match", text="A1", at=(-200.0, 132.0), outward=(0.0, 1.0), neighbour=NAME),
    )


def grid(vertices, flat):
    """One line along the grain and one across it."""

    def line(name, way, points, crossings, change):
        near = [int(np.linalg.norm(flat - p, axis=1).argmin()) for p in points]
        lengths = np.linalg.norm(np.diff(points, axis=0), axis=1)
        return GridLine(
            name=name,
            way=way,
            crossings=crossings,
            points=points,
            places=vertices[near],
            blank_lengths=lengths,
            panel_lengths=lengths * change,
            strip=name == "A",
        )

    along = np.array([[-600.0, 0.0], [-300.0, 0.0], [0.0, 0.0], [300.0, 0.0], [600.0, 0.0]])
    across = np.array([[0.0, -130.0], [0.0, 0.0], [0.0, 130.0]])
    lines = (
        line("A", "along", along, ("edge", "1'", "1", "1''", "edge"), 1.02),
        line("1", "across", across, ("edge", "A", "edge"), 0.99),
    )
    return PanelGrid(panel=NAME, square=300.0, origin=(0.0, 0.0), lines=lines)


def paper(vertices):
    strips = tuple(
        PaperStrip(
            number=k,
            outline=np.array([[-600.0, -30.0], [600.0, -30.0], [600.0, 30.0], [-600.0, 30.0]]),
            middle=vertices[:4],
        )
        for k in (-1, 0, 1)
    )
    at = np.array([-600.0, 0.0, 600.0])
    joints = (
        PaperJoint(strips=(-1, 0), at=at, gap=np.array([2.1, 0.0, 1.8])),
        PaperJoint(strips=(0, 1), at=at, gap=np.array([-1.2, 0.0, -0.9])),
    )
    return PaperPattern(
        panel=NAME,
        width=60.0,
        run="along",
        strips=strips,
        joints=joints,
        spine=vertices[:4],
        origin=(0.0, 0.0),
        panel_area=320000.0,
        blank_area=316000.0,
        paper_area=318000.0,
        missing=2600.0,
        excess=900.0,
        unaccounted=300.0,
        tolerance=0.01,
        words="Strips gape by up to 2.1 mm, where metal is missing and must be stretched.",
    )


def layout(outline):
    shift = -outline.min(axis=0) + 10.0
    sheet = SheetLayout(
        name="sheet 1",
        size=(2438.4, 1219.2),
        offcut=False,
        pieces=(LaidPiece(name=NAME, turn=0.0, shift=tuple(shift), outline=outline + shift),),
        density=0.12,
        remnant=Rectangle(at=(1300.0, 0.0), size=(1138.0, 1219.0)),
        mass=13.0,
        cost=84.5,
    )
    return Layout(
        stock="3003-H14, 1.6 mm",
        sheets=(sheet,),
        gap=6.0,
        margin=10.0,
        gap_kept=0.0,
        margin_kept=10.0,
        overlap=0.0,
        sheets_used=0.53,
        sheets_bound=0.12,
        density=0.22,
        mass=13.0,
        mass_cut=1.4,
        cost=84.5,
    )
