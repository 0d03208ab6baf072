"""Pictures of the chapter on the skin: its crowns, and a section with its comb."""

from pathlib import Path

from PIL import Image
from playwright.sync_api import Page

__all__ = ["photograph_skin"]

WIDTH = 1000
"""Pixels of a picture."""


def photograph_skin(page: Page, out: Path) -> None:
    page.evaluate("() => { location.hash = 'skin' }")
    page.locator(".space[data-drawn=yes]").wait_for()
    page.locator(".crowns").wait_for()
    page.get_by_text("by crown", exact=True).click()
    _take(page, out / "skin-crown.jpg")
    page.get_by_text("plain", exact=True).click()
    page.get_by_text("a station", exact=True).click()
    page.locator(".comb b").first.wait_for()
    page.get_by_role("button", name="Front", exact=True).click()
    _take(page, out / "skin-section.jpg")


def _take(page: Page, path: Path) -> None:
    page.wait_for_timeout(3000)
    passing = path.with_suffix(".png")
    page.locator(".space").screenshot(path=passing)
    image = Image.open(passing).convert("RGB")
    image.resize((WIDTH, round(image.height * WIDTH / image.width))).save(path, quality=82)
    passing.unlink()
