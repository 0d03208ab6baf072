"""What panels are asked for, the sheet they are cut from, and what there is to choose from."""

from typing import Any, get_args

from buckwright.flow.dividing import seam_names
from buckwright.model.job import Job
from buckwright.model.nesting import Layout, SheetLayout
from buckwright.model.panels import Aim, Grain, PanelSpec, Treatment
from buckwright.tables.alloys import Alloy, alloys, find_alloy, sheet_sizes
from buckwright.tables.r_values import find_r_value
from buckwright.web.words import rounded

__all__ = ["asked", "choices", "layout_row"]


def asked(job: Job) -> dict[str, Any]:
    """What the job asks for: its sheet, the rack, and its panels."""
    return {
        "sheet": None if job.sheet is None else _sheet(job),
        "offcuts": [offcut.model_dump() for offcut in job.offcuts],
        "specs": [_spec(spec) for spec in job.panels],
    }


def _sheet(job: Job) -> dict[str, Any]:
    assert job.sheet is not None
    found = find_alloy(job.sheet.alloy)
    metal = None if found is None else found.elongation(job.sheet.thickness)
    r_value = find_r_value(job.sheet.alloy, job.sheet.thickness)
    return {
        **job.sheet.model_dump(),
        "elongation": None if metal is None else [metal.least, metal.standard],
        "table_r": None if r_value is None else [r_value.value, r_value.source],
        "family": None if found is None else found.family,
    }


def _spec(spec: PanelSpec) -> dict[str, Any]:
    return {
        "name": spec.name,
        "region": spec.region,
        "aim": spec.aim,
        "grain": spec.grain,
        "both_sides": spec.both_sides,
        "trim_allowance": spec.trim_allowance,
        "seams": list(seam_names(spec)),
    }


def choices() -> dict[str, Any]:
    """What can be chosen, from the tables."""
    families = dict.fromkeys(alloy.family for alloy in alloys())
    return {
        "aims": list(get_args(Aim)),
        "grains": list(get_args(Grain)),
        "treatments": list(get_args(Treatment)),
        "alloys": [_alloy(alloy) for alloy in alloys()],
        "sizes": {family: _sizes(family) for family in families},
    }


def _alloy(alloy: Alloy) -> dict[str, Any]:
    return {
        "name": alloy.name,
        "family": alloy.family,
        "steel": alloy.is_steel,
        "elongations": [[row.start, row.end, row.least] for row in alloy.elongations],
    }


def _sizes(family: str) -> dict[str, Any]:
    sizes = sheet_sizes(family)
    thicknesses = dict.fromkeys((one.thickness, one.thickness_name) for one in sizes)
    return {
        "thicknesses": [list(one) for one in thicknesses],
        "sheets": [[name, *size] for name, size in {one.name: one.size for one in sizes}.items()],
    }


def layout_row(layout: Layout | None) -> dict[str, Any] | None:
    """How the blanks lie on sheets and offcuts."""
    if layout is None:
        return None
    return {
        **layout.model_dump(exclude={"sheets", "findings"}),
        "sheets": [_laid(sheet) for sheet in layout.sheets],
    }


def _laid(sheet: SheetLayout) -> dict[str, Any]:
    return {
        **sheet.model_dump(exclude={"pieces"}),
        "pieces": [
            {
                "name": piece.name,
                "turn": piece.turn,
                "outline": rounded(piece.outline, 1),
                "holes": [rounded(hole, 1) for hole in piece.holes],
            }
            for piece in sheet.pieces
        ],
    }
