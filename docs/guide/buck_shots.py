"""Pictures for the chapter on the buck: the example as it is, and with its roof 20 mm up."""

import shutil
import sys
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image
from playwright.sync_api import Browser, Page
from served import sheet_of_copy

from buckwright.buck import changes_of, mark_built
from buckwright.flow import solve_file
from buckwright.model.lines import Departure
from buckwright.store import JobFile

__all__ = ["photograph_buck"]

CHAPTER = Path(__file__).parent / "the-buck.md"
ROOF = Departure(
    name="higher roof", reason="room for hats", axis="z", start=1150.0, end=1400.0, by=20.0
)


def photograph_buck(chromium: Browser, job: Path, out: Path) -> None:
    """The pictures of the chapter, from a copy of the job."""
    with TemporaryDirectory() as folder:
        copy = Path(shutil.copy(job, Path(folder) / job.name))
        with sheet_of_copy(chromium, copy, "buck") as page:
            _drawn(page)
            _shoot(page, out / "buck-wires.jpg", ".view .space")
            _pick(page, "door left")
            _shoot(page, out / "buck-wire.jpg", ".wire-sheet", most=1500)
            _shoot(page, out / "buck-spacing.jpg", _part("Are the wires close enough?"), most=900)
            _shoot(page, out / "buck-stock.jpg", "section.part:has(.bars)", most=700)
        _raise_roof(copy)
        with sheet_of_copy(chromium, copy, "buck") as page:
            _drawn(page)
            page.get_by_text("what stands", exact=True).first.click()
            _shoot(page, out / "buck-change.jpg", ".view .space")
            _shoot(page, out / "buck-changes.jpg", _part("What stands"))


def _raise_roof(path: Path) -> None:
    """Build the first stage, then change the roof; the chapter's counts must be what follows."""
    with JobFile.open(path) as file:
        buck = file.products(("buck",)).buck
        assert buck is not None
        first = [wire.name for wire in buck.wires if wire.stage == 1]
        job = mark_built(file.job(), buck, first, "2026-03-14")
        file.change("built", job)
        file.change("roof", job.model_copy(update={"departures": (*job.departures, ROOF)}))
    products = solve_file(path)
    with JobFile.open(path) as file:
        job = file.job()
    assert job.buck is not None
    assert products.buck is not None
    changes = changes_of(job.built, products.buck.wires, tolerance=job.buck.built_tolerance)
    counted = Counter(change.verdict for change in changes)
    told = CHAPTER.read_text()
    for words in (
        f"The first stage stands, {len(first)} wires.",
        f"{counted['right']} wires are still right",
        f"{counted['move']} wires are bent right but must be tacked elsewhere",
        f"{counted['bend again']} wires must be bent again",
        f"{counted['new']} wires are new",
    ):
        if words not in told:
            sys.exit(f"{CHAPTER.name} should say: {words}")


def _drawn(page: Page) -> None:
    page.locator("#sheet .space[data-drawn=yes]").wait_for()
    page.wait_for_timeout(3000)


def _pick(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).first.click()
    page.locator(".wire-sheet .rod").first.wait_for()


def _part(heading: str) -> str:
    return f"section.part:has(> h2:text-is('{heading}'))"


def _shoot(page: Page, to: Path, selector: str, most: int = 1200) -> None:
    passing = to.with_suffix(".passing.png")
    page.locator(selector).first.screenshot(path=passing)
    image = Image.open(passing).convert("RGB")
    image.crop((0, 0, image.width, min(image.height, most))).save(to, quality=82)
    passing.unlink()
