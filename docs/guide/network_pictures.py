"""Pictures for the chapter on the network: where views disagree, and a figure typed over."""

from pathlib import Path

from playwright.sync_api import Browser, Page
from served import sheet_of_copy, shoot

__all__ = ["photograph_network", "photograph_page"]


def photograph_network(chromium: Browser, job: Path, out: Path) -> None:
    """The pictures of the chapter, from a copy of the job."""
    with sheet_of_copy(chromium, job, "lines") as page:
        photograph_page(page, out)


def photograph_page(page: Page, out: Path) -> None:
    """The same from a page that is open."""
    page.set_default_timeout(60_000)
    page.evaluate("() => { location.hash = 'lines' }")
    page.locator("#sheet[data-sheet=lines][data-ready=true]").wait_for()
    table = page.get_by_role("region", name="Where the views disagree, worst first")
    table.get_by_role("button", name="Show").first.click()
    page.locator(".looked-at").first.wait_for()
    shoot(page, out / "network-views.jpg", ".view .flat")
    shoot(page, out / "network-table.jpg", ".part:has([aria-label^='Where the views'])")
    cell = page.get_by_role("button", name="height of belt left at station 1200 mm")
    cell.click()
    field = page.get_by_role("textbox", name="height of belt left at station 1200 mm")
    field.fill("995 mm")
    shoot(page, out / "network-offsets.jpg", ".part:has([aria-label*='heights by station'])")
    field.press("Escape")
    cell.wait_for()
