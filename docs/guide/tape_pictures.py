"""Pictures for the chapter on tape, tables and scans: typed in on the page of a copy of the job."""

from pathlib import Path

from playwright.sync_api import Browser, Page
from served import sheet_of_copy, shoot

__all__ = ["photograph_tapes", "photograph_tapes_page"]

LAID = (
    ("over the wheelbase", "", "", "2243 mm", "wheelbase"),
    (
        "straight between two places",
        "screen edge + belt left",
        "screen edge + belt right",
        "",
        "across the screen",
    ),
    ("over the whole height", "", "", "", "height"),
    ("straight between two places", "belt left: front", "belt left: rear", "", "belt, left"),
)


def photograph_tapes(chromium: Browser, job: Path, out: Path) -> None:
    """The pictures of the chapter, from a copy of the job."""
    with sheet_of_copy(chromium, job, "lines") as page:
        photograph_tapes_page(page, out)


def photograph_tapes_page(page: Page, out: Path) -> None:
    """The same from a page that is open on a job that may be changed."""
    page.set_default_timeout(60_000)
    page.evaluate("() => { location.hash = 'lines' }")
    page.locator("#sheet[data-sheet=lines][data-ready=true]").wait_for()
    tapes = page.locator("section.part:has(h2:text-is('Tape measurements'))")
    tapes.get_by_text("Type a tape in").click()
    # What a tape would say: near what the lines give, but the one over the belt, whose first
    # hundred millimetres were cut off and forgotten.
    lengths = {"across the screen": "1140 mm", "height": "1622 mm", "belt, left": "2551 mm"}
    for sort, start, end, length, name in LAID:
        tapes.get_by_label("the tape lies").select_option(sort)
        if start:
            tapes.get_by_label("from", exact=True).fill(start)
            tapes.get_by_label("to", exact=True).fill(end)
        tapes.get_by_label("it says").fill(length or lengths[name])
        tapes.get_by_label("good to").fill("2 mm")
        tapes.get_by_label("called").fill(name)
        tapes.get_by_role("button", name="Keep this tape").click()
        tapes.get_by_role("button", name=f"Leave the tape {name} out").wait_for()
    shoot(page, out / "tapes.jpg", "section.part:has(h2:text-is('Tape measurements'))")
    tables = "section.part:has(h2:text-is('Lines from tables'))"
    page.locator(tables).get_by_text("Take a table in as lines").click()
    page.locator(tables).locator("input[type=file]").set_input_files(
        {"name": "waist.csv", "mimeType": "text/csv", "buffer": _waist()}
    )
    page.locator(tables).get_by_role("button", name="Leave waist.csv out").wait_for()
    shoot(page, out / "table-taken.jpg", tables)


def _waist() -> bytes:
    """A line along the side with one figure mistyped."""
    rows = ["line,station_mm,half_breadth_mm,height_mm"]
    for k in range(12):
        height = 798.0 if k != 6 else 978.0
        rows.append(f"waist,{800 + 150 * k},{690.0 - 0.4 * (k - 5) ** 2:.1f},{height + k:.1f}")
    return "\n".join(rows).encode()
