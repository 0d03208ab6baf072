"""Pictures for the chapter on reading the lines: four views, a section, lines on a photograph."""

from pathlib import Path

from playwright.sync_api import Browser, Page
from served import sheet_of_copy, shoot

__all__ = ["photograph_linked"]


def photograph_linked(chromium: Browser, job: Path, out: Path) -> None:
    """The pictures of the chapter."""
    with sheet_of_copy(chromium, job, "lines") as page:
        _measure(page, out)
        _cut(page, out)
        _lay(page, out)


def _measure(page: Page, out: Path) -> None:
    page.get_by_role("button", name="Measure (M)").click()
    form = page.locator("form.measuring")
    form.get_by_label("line").nth(0).select_option("belt left")
    form.get_by_label("line").nth(1).select_option("roof centre line")
    form.get_by_role("button", name="Measure these two").click()
    page.get_by_text("Snap drags").click()
    page.locator(".measured-end").nth(7).wait_for()
    page.get_by_role("button", name="cantrail left", exact=True).first.click()
    page.locator("g.hand").wait_for()


def _cut(page: Page, out: Path) -> None:
    section = page.locator(".sectioned")
    section.get_by_text("a station", exact=True).click()
    section.locator(".skin-cut").wait_for()
    page.wait_for_timeout(800)
    shoot(page, out / "lines-four-views.jpg", "figure.view")
    shoot(page, out / "lines-section.jpg", ".section-view")


def _lay(page: Page, out: Path) -> None:
    page.get_by_role("button", name="Lay the lines over a photograph").click()
    laid = page.locator(".onpicture")
    laid.get_by_label("picture", exact=True).select_option(index=5)
    laid.get_by_role("status").get_by_text("as this camera sees them").wait_for()
    page.wait_for_timeout(1500)
    shoot(page, out / "lines-on-picture.jpg", ".onpicture figure.view")
