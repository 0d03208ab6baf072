"""Pictures for the chapter on moving lines: the roof in the hand, and after it was let go."""

from pathlib import Path

from playwright.sync_api import Browser, Page
from served import sheet_of_copy, shoot

__all__ = ["photograph_lines"]

LINE = "roof centre line"
PLACE = """([name, share]) => {
    const path = document.querySelector(`path.grip[data-name="${name}"]`);
    const at = path.getPointAtLength(share * path.getTotalLength());
    const { x, y } = at.matrixTransform(path.getScreenCTM());
    return [x, y];
}"""


def photograph_lines(chromium: Browser, job: Path, out: Path) -> None:
    """The pictures of the chapter, from a copy of the job."""
    with sheet_of_copy(chromium, job, "lines") as page:
        _pull(page, out)


def _pull(page: Page, out: Path) -> None:
    page.set_default_timeout(60_000)
    page.get_by_role("button", name=LINE, exact=True).first.click()
    page.locator("g.hand").wait_for()
    page.locator(".flat svg").scroll_into_view_if_needed()
    x, y = page.evaluate(PLACE, [LINE, 0.6])
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y - 7, steps=4)
    page.wait_for_timeout(500)
    shoot(page, out / "lines-pulled.jpg", ".view .flat")
    page.mouse.up()
    page.get_by_role("button", name="Take this pin away").wait_for()
    page.wait_for_timeout(500)
    shoot(page, out / "lines-pins.jpg", "section.part:has(.departures)")
    _keep(page, out)


def _keep(page: Page, out: Path) -> None:
    """A belt that is straight over the door, and breaks behind it."""
    page.get_by_role("button", name="belt left", exact=True).first.click()
    page.get_by_text("What belt left keeps").click()
    straight = page.locator("form", has_text="Make it straight")
    straight.get_by_label("straight from, %").fill("25")
    straight.get_by_label("to, %", exact=True).fill("55")
    page.keyboard.press("Enter")
    page.get_by_text("Straight from 25 % to 55 %").wait_for()
    page.get_by_role("textbox", name="corner at, %").fill("75")
    page.keyboard.press("Enter")
    page.get_by_text("Corner at 75 %").wait_for()
    page.wait_for_timeout(500)
    shoot(page, out / "lines-kept.jpg", "details.keeps")
    page.locator(".flat svg").scroll_into_view_if_needed()
    x, y = page.evaluate(PLACE, ["belt left", 0.4])
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y - 6, steps=4)
    page.wait_for_timeout(500)
    shoot(page, out / "lines-straight.jpg", ".view .flat")
    page.keyboard.press("Escape")
    page.mouse.up()
