"""The picture of the chapter on the skin that shows what the lines bound."""

from pathlib import Path

from PIL import Image
from playwright.sync_api import Page

__all__ = ["photograph_fields"]

WIDTH = 1200
"""Pixels of the picture."""


def photograph_fields(page: Page, out: Path) -> None:
    page.evaluate("() => { location.hash = 'skin' }")
    page.get_by_role("button", name="Show and correct the fields").click()
    views = page.locator(".fieldviews")
    views.locator(".space[data-drawn=yes]").wait_for()
    views.locator(".flat path").first.wait_for()
    page.wait_for_timeout(3000)
    passing = out / "skin-fields.png"
    views.screenshot(path=passing)
    image = Image.open(passing).convert("RGB")
    height = round(image.height * WIDTH / image.width)
    image.resize((WIDTH, height)).save(out / "skin-fields.jpg", quality=82)
    passing.unlink()
