"""A picture of the chapter on the skin: the coarse skin under a line that was pulled."""

from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page
from served import sheet_of_copy

__all__ = ["photograph_draft"]

WIDTH = 1000
"""Pixels of the picture."""
PULL = """async () => {
    const line = 'roof centre line';
    const batten = await (await fetch(`/api/batten/${line}`)).json();
    const middle = batten.control[Math.floor(batten.control.length / 2)];
    const point = [null, null, middle[2] + 40];
    const pull = { what: 'pull line', line, pin: null, share: 0.62, by: 40, point };
    const headers = { 'content-type': 'application/json' };
    const body = JSON.stringify(pull);
    const answer = await fetch('/api/change', { method: 'POST', headers, body });
    if (!answer.ok) throw new Error(await answer.text());
}"""


def photograph_draft(chromium: Browser, job: Path, out: Path) -> None:
    """The picture, from a copy of the job."""
    with sheet_of_copy(chromium, job, "lines") as page:
        _pull_and_take(page, out)


def _pull_and_take(page: Page, out: Path) -> None:
    page.locator("#sheet[data-sheet=lines][data-ready=true]").wait_for()
    page.evaluate(PULL)
    page.locator(".draft").wait_for()
    page.locator(".space[data-drawn=yes]").wait_for()
    page.wait_for_timeout(3000)
    section = page.locator("section.part", has=page.locator(".draft"))
    section.scroll_into_view_if_needed()
    passing = out / "skin-draft.png"
    section.screenshot(path=passing)
    image = Image.open(passing).convert("RGB")
    high = round(image.height * WIDTH / image.width)
    image.resize((WIDTH, high)).save(out / "skin-draft.jpg", quality=80)
    passing.unlink()
