"""Pictures for the chapter on tracing: a snapped trace, bands in the next picture, its doubt."""

from pathlib import Path

from playwright.sync_api import Browser, Page
from served import sheet_of_copy, shoot

__all__ = ["photograph_tracing"]

LINE = "belt left"
FIRST, SECOND = "wren_05.jpg", "wren_06.jpg"
BOARD = ".tracing"


def photograph_tracing(chromium: Browser, job: Path, out: Path) -> None:
    """The pictures of the chapter, from a copy of the job."""
    with sheet_of_copy(chromium, job, "pictures") as page:
        _open(page, FIRST)
        page.get_by_label("Trace", exact=True).select_option(LINE)
        page.locator(f'[data-traced="{LINE}"] .space[data-drawn=yes]').wait_for()
        shoot(page, out / "tracing-in-space.jpg", f'[data-traced="{LINE}"]')
        _snapped(page, out)
        _bands(page, out)


def _open(page: Page, picture: str) -> None:
    page.get_by_role("button", name=picture).first.click()
    if page.get_by_role("button", name="Trace on this picture").count():
        page.get_by_role("button", name="Trace on this picture").click()
    page.locator(f"{BOARD}[data-whole=true]").wait_for()


def _snapped(page: Page, out: Path) -> None:
    """The belt of the first picture, taken up, snapped, near, with a click under the glass."""
    middle = _middle_of(page, FIRST)
    _come_near(page, middle, 900)
    page.mouse.click(*_on_screen(page, middle))
    page.get_by_label("snap to the tape").check(force=True)
    page.wait_for_function("() => Number(document.querySelector('.tracing').dataset.snapped) > 0")
    page.wait_for_timeout(600)
    page.mouse.move(*_on_screen(page, (middle[0] + 12, middle[1])))
    page.wait_for_timeout(400)
    shoot(page, out / "tracing-snapped.jpg", BOARD)


def _bands(page: Page, out: Path) -> None:
    """Where the clicks of one picture must lie in another."""
    _open(page, SECOND)
    page.get_by_label("Trace", exact=True).select_option(LINE)
    page.wait_for_timeout(600)
    if page.get_by_role("button", name="Guides").get_attribute("aria-pressed") == "true":
        page.get_by_role("button", name="Guides").click()
    bands = page.get_by_role("button", name="Bands of other pictures")
    if bands.get_attribute("aria-pressed") == "false":
        bands.click()
    page.wait_for_timeout(600)
    shoot(page, out / "tracing-bands.jpg", BOARD)


def _middle_of(page: Page, picture: str) -> tuple[float, float]:
    """A place on the trace of the line in a picture."""
    px = page.evaluate(
        """async ([name, line]) => {
            const sheet = await (await fetch('/api/sheet/pictures')).json();
            const { traces } = sheet.pictures.find((row) => row.name === name);
            const { px } = traces.find((trace) => trace.line === line);
            return px[Math.floor(px.length / 2)];
        }""",
        [picture, LINE],
    )
    return px[0], px[1]


def _come_near(page: Page, px: tuple[float, float], turns: int) -> None:
    page.locator(BOARD).scroll_into_view_if_needed()
    page.locator(BOARD).focus()
    page.mouse.move(*_on_screen(page, px))
    for _ in range(turns // 150):
        page.mouse.wheel(0, -150)
        page.wait_for_timeout(80)
    page.locator(f"{BOARD}[data-whole=true]").wait_for()
    page.wait_for_timeout(600)


def _on_screen(page: Page, px: tuple[float, float]) -> tuple[float, float]:
    told = page.locator(BOARD).evaluate("e => ({ ...e.dataset })")
    box = page.locator(BOARD).bounding_box()
    assert box is not None
    near, (x, y) = float(told["nearness"]), map(float, told["corner"].split())
    return box["x"] + 1 + px[0] * near + x, box["y"] + 1 + px[1] * near + y
