"""A sheet of a copy of a job in the browser, for the pictures of the guide."""

import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image
from playwright.sync_api import Browser, Page

__all__ = ["sheet_of_copy", "shoot"]


@contextmanager
def sheet_of_copy(chromium: Browser, job: Path, sheet: str) -> Iterator[Page]:
    """The named sheet, ready, served from a copy that may be changed."""
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
            page.set_default_timeout(60_000)
            page.goto(address.group())
            page.evaluate(f"() => {{ location.hash = '{sheet}' }}")
            page.locator(f"#sheet[data-sheet={sheet}][data-ready=true]").wait_for()
            yield page
            page.close()
        finally:
            server.terminate()
            server.wait()


def shoot(page: Page, path: Path, selector: str) -> None:
    """The first thing that the selector finds, as a JPEG."""
    passing = path.with_suffix(".png")
    page.locator(selector).first.screenshot(path=passing)
    Image.open(passing).convert("RGB").save(path, quality=82)
    passing.unlink()
