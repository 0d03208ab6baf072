"""Picture for the chapter on departures: two families moved, the reference dashed."""

from pathlib import Path

from playwright.sync_api import Browser, Page
from served import sheet_of_copy, shoot

__all__ = ["photograph_departures"]

MADE = (
    ("moves lines", "higher belt", "elbow room", "belt left", (("upward by", "20 mm"),)),
    (
        "scales lines",
        "bigger window",
        "parcels are read there",
        "window left",
        (("times the length", "1.12"), ("times the height", "1.1")),
    ),
)


def photograph_departures(chromium: Browser, job: Path, out: Path) -> None:
    """The chapter's picture, from a copy of the job."""
    with sheet_of_copy(chromium, job, "lines") as page:
        for made in MADE:
            _depart(page, *made)
        shoot(page, out / "departures.jpg", ".view .flat")


def _depart(
    page: Page, kind: str, name: str, reason: str, line: str, fields: tuple[tuple[str, str], ...]
) -> None:
    form = page.locator("details", has_text="Depart from the reference somewhere else")
    if form.get_attribute("open") is None:
        form.locator("summary").click()
    form.get_by_text(kind).click()
    form.get_by_label("what it is called").fill(name)
    form.get_by_label("because").fill(reason)
    form.get_by_label(line, exact=True).check()
    for label, text in fields:
        form.get_by_label(label).fill(text)
    form.get_by_role("button", name="Depart there").click()
    page.get_by_role("button", name=f"Give up {name}").wait_for()
