"""Pictures for the chapter on the network: where views disagree, and a figure typed over."""

import re
import shutil
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image
from playwright.sync_api import Browser, Page

__all__ = ["photograph_network", "photograph_page"]


def photograph_network(chromium: Browser, job: Path, out: Path) -> None:
    """The pictures of the chapter, from a copy of the job."""
    with TemporaryDirectory() as folder:
        copy = shutil.copy(job, Path(folder) / job.name)
        server = subprocess.Popen(
            [sys.executable, "-m", "buckwright", "open", str(copy), "--no-browser"],
            stdout=subprocess.PIPE,
            text=True,
        )
        try:
            assert server.stdout is not None
            address = re.search(r"http://\S+", server.stdout.readline())
            assert address is not None
            page = chromium.new_page(viewport={"width": 1280, "height": 1000})
            page.goto(address.group())
            photograph_page(page, out)
            page.close()
        finally:
            server.terminate()
            server.wait()


def photograph_page(page: Page, out: Path) -> None:
    """The same from a page that is open."""
    page.set_default_timeout(60_000)
    page.evaluate("() => { location.hash = 'lines' }")
    page.locator("#sheet[data-sheet=lines][data-ready=true]").wait_for()
    table = page.get_by_role("region", name="Where the views disagree, worst first")
    table.get_by_role("button", name="Show").first.click()
    page.locator(".looked-at").first.wait_for()
    _shoot(page, out / "network-views.jpg", ".view .flat")
    _shoot(page, out / "network-table.jpg", ".part:has([aria-label^='Where the views'])")
    cell = page.get_by_role("button", name="height of belt left at station 1200 mm")
    cell.click()
    field = page.get_by_role("textbox", name="height of belt left at station 1200 mm")
    field.fill("995 mm")
    _shoot(page, out / "network-offsets.jpg", ".part:has([aria-label*='heights by station'])")
    field.press("Escape")
    cell.wait_for()


def _shoot(page: Page, path: Path, selector: str) -> None:
    passing = path.with_suffix(".png")
    page.locator(selector).first.screenshot(path=passing)
    Image.open(passing).convert("RGB").save(path, quality=82)
    passing.unlink()
