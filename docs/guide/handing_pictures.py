"""Picture for the chapter on scans and on handing the skin on: a model asked for on the page."""

from pathlib import Path

from playwright.sync_api import Browser
from served import sheet_of_copy, shoot

__all__ = ["photograph_handing"]


def photograph_handing(chromium: Browser, job: Path, out: Path) -> None:
    """The chapter's picture, from a copy of the job."""
    with sheet_of_copy(chromium, job, "skin") as page:
        part = page.locator("section.part", has_text="Hand it on")
        part.locator("summary").click()
        part.get_by_role("button", name="What would it be?").click()
        part.get_by_text("STL of the model").wait_for()
        shoot(page, out / "handing-on.jpg", "section.part:has(h2:text('Hand it on'))")
