"""The picture for the chapter on trims, turned edges and beads."""

import shutil
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Browser
from served import sheet_of_copy, shoot

from buckwright.model.panels import EdgeSpec
from buckwright.model.treatments import BeadSpec, EdgeTreatment, TrimSpec
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


def photograph_treatments(chromium: Browser, job: Path, out: Path) -> None:
    """The chapter's picture, from a copy of the job with a hatch, wired wings and beads."""
    with TemporaryDirectory() as folder:
        copy = Path(shutil.copy(job, Path(folder) / job.name))
        with JobFile.open(copy) as file:
            edges = tuple(EdgeTreatment(region=region, edge=edge) for region, edge in EDGES)
            asked = {"trims": (HATCH,), "edge_treatments": edges, "beads": BEADS}
            file.change("treatments", file.job().model_copy(update=asked))
        subprocess.run([sys.executable, "-m", "buckwright", "solve", str(copy)], check=True)
        with sheet_of_copy(chromium, copy, "skin") as page:
            page.locator(".space[data-drawn=yes]").wait_for()
            page.get_by_text("plain", exact=True).click()
            page.wait_for_timeout(3000)
            shoot(page, out / "treatments.jpg", ".space")
