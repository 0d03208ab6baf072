"""The picture for the chapter on lines in space: left against right."""

from pathlib import Path

from PIL import Image
from playwright.sync_api import Page

__all__ = ["photograph_sides"]


def photograph_sides(page: Page, out: Path) -> None:
    """From the open page of a job."""
    page.evaluate("() => { location.hash = 'lines' }")
    hairs = page.locator(".part:has(svg.hairs)")
    hairs.scroll_into_view_if_needed()
    page.wait_for_timeout(1000)
    path = out / "left-against-right.png"
    hairs.screenshot(path=path)
    with Image.open(path) as image:
        image.convert("P", palette=Image.Palette.ADAPTIVE, colors=64).save(path, optimize=True)
