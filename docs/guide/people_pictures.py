"""The pictures of the chapter 'Who sits in it', from the demo's job on the page."""

from pathlib import Path

from PIL import Image
from playwright.sync_api import Page

__all__ = ["photograph_people"]


def photograph_people(page: Page, out: Path) -> None:
    """The three views, and the people in the body in space."""
    page.evaluate("() => { location.hash = 'people' }")
    page.locator(".cab").wait_for()
    page.locator(".space[data-drawn=yes]").wait_for()
    page.wait_for_timeout(3000)
    for selector, name in ((".flat", "people-views"), (".space", "people-space")):
        passing = out / f"{name}.png"
        page.locator(selector).first.screenshot(path=passing)
        Image.open(passing).convert("RGB").save(out / f"{name}.jpg", quality=82)
        passing.unlink()
