"""The pictures for the chapter on trims, turned edges, beads and louvres."""

import shutil
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from playwright.sync_api import Browser
from served import sheet_of_copy, shoot

from buckwright.drawings import blank_sheets
from buckwright.files.png import sheet_png
from buckwright.model.job import Job
from buckwright.model.louvres import LouvreSpec
from buckwright.model.panels import EdgeSpec, EdgeStation, Panels, PanelSpec, SheetStock
from buckwright.model.skin import Skin
from buckwright.model.treatments import BeadSpec, EdgeTreatment, TrimSpec
from buckwright.panels import make_panels
from buckwright.skin.louvres import make_louvres
from buckwright.store import JobFile

__all__ = ["photograph_treatments"]

HATCH = TrimSpec(
    name="roof hatch",
    region="body",
    by="drawn",
    through=((1250, -250, 1600), (1650, -250, 1600), (1650, 250, 1600), (1250, 250, 1600)),
    closed=True,
    along=(0, 0, 1),
    away=(1400, 0, 1600),
)
EDGES = (
    ("front wing", EdgeSpec(along="front wing edge", treatment="wired edge", wire=5.0)),
    ("body", EdgeSpec(along="roof hatch", treatment="flange", width=15.0, way="out")),
)
BEADS = (
    BeadSpec(
        name="waist", region="body", line="belt left", width=40, depth=4, radius=15, setback=60
    ),
    BeadSpec(
        name="crest",
        region="front wing",
        line="front wing crown",
        width=30,
        depth=5,
        radius=9,
        setback=80,
    ),
)
VENTS = LouvreSpec(
    name="side vents",
    region="body",
    at=(2450, -640, 700),
    along="z",
    rows=6,
    length=120,
    width=20,
    height=7,
    row_pitch=45,
    column_pitch=0,
)
ROOF = PanelSpec(
    name="roof",
    region="body",
    above=(("x", 1150.0),),
    below=(("x", 1950.0),),
    seams=("cantrail left", "cantrail right"),
    at=(1850.0, 0.0, 1620.0),
)
ROOF_VENTS = VENTS.model_copy(
    update={"name": "roof vents", "at": (1800.0, 0.0, 1620.0), "along": "y", "rows": 3}
)
WIDENING = EdgeSpec(
    along="roof hatch",
    treatment="flange",
    way="out",
    stations=(EdgeStation(at=0.0, width=12.0), EdgeStation(at=0.5, width=40.0)),
)
LID = "Change flange along 'roof hatch' on 'body'"


def photograph_treatments(chromium: Browser, job: Path, out: Path) -> None:
    """The chapter's pictures, from a copy of the job with all of these."""
    with TemporaryDirectory() as folder:
        copy = Path(shutil.copy(job, Path(folder) / job.name))
        with JobFile.open(copy) as file:
            edges = tuple(EdgeTreatment(region=region, edge=edge) for region, edge in EDGES)
            asked = {
                "trims": (HATCH,),
                "edge_treatments": edges,
                "beads": BEADS,
                "louvres": (VENTS,),
            }
            file.change("treatments", file.job().model_copy(update=asked))
        subprocess.run([sys.executable, "-m", "buckwright", "solve", str(copy)], check=True)
        with sheet_of_copy(chromium, copy, "skin") as page:
            page.locator(".space[data-drawn=yes]").wait_for()
            page.get_by_text("plain", exact=True).click()
            page.wait_for_timeout(3000)
            shoot(page, out / "treatments.jpg", ".space")
            form = page.locator(".treatments details", has_text=LID)
            form.locator("summary").click()
            form.get_by_label("widths from").fill("0 %: 12 mm / 50 %: 30 mm; 60")
            shoot(page, out / "treatments-change.jpg", f'details:has(form[aria-label="{LID}"])')
        with JobFile.open(copy) as file:
            job, skin = file.job(), file.products(("skin",)).skin
    assert skin is not None
    (out / "treatments-blank.png").write_bytes(_blank(job, skin))


def _blank(job: Job, skin: Skin) -> bytes:
    """The blank of a piece of the roof, with its hatch's flange and louvres."""
    sheet = job.sheet or SheetStock(alloy="3003-H14", thickness=1.27)
    vented = skin.model_copy(update={"louvres": make_louvres(skin, ROOF_VENTS)})
    flange = EdgeTreatment(region="body", edge=WIDENING)
    panels: Panels = make_panels((ROOF,), skin, sheet, treatments=(flange,))
    (drawn,) = blank_sheets(job, panels, vented)
    return sheet_png(drawn, np.zeros((0, 3, 2)), np.zeros((0, 3)), longest=1100)
