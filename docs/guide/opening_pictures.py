"""Pictures for the chapter on doors and glass: a door open, hinges too deep, the door's sheet."""

from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page
from served import sheet_of_copy, shoot

__all__ = ["photograph_openings"]

DEEP = (
    ("1", "825 mm; -562 mm; 540 mm"),
    ("2", "825 mm; -572 mm; 720 mm"),
    ("3", "825 mm; -582 mm; 900 mm"),
)


def photograph_openings(chromium: Browser, job: Path, packet: Path, out: Path) -> None:
    """The chapter's pictures, from a copy of the job and from its packet."""
    _door_sheet(chromium, packet / "svg" / "swing-door-left.svg", out / "door-sheet.png")
    with sheet_of_copy(chromium, job, "openings") as page:
        page.locator(".space[data-drawn=yes]").wait_for()
        page.get_by_role("slider", name="Open").fill("92")
        page.get_by_role("slider", name="Glass down").fill("64")
        page.wait_for_timeout(3000)
        shoot(page, out / "openings.jpg", ".space")
        page.get_by_role("button", name="screen", exact=True).first.click()
        shoot(page, out / "screen-glass.jpg", ".pane-fit")
        page.get_by_role("button", name="door left", exact=True).first.click()
        for number, text in DEEP:
            _typed(page, number, text)
        page.get_by_role("button", name="Work it out again").first.click()
        page.locator(".answer", has_text="swings only").wait_for(timeout=600_000)
        page.get_by_role("slider", name="Open").press("End")
        page.get_by_role("button", name="Left", exact=True).click()
        page.wait_for_timeout(3000)
        shoot(page, out / "first-touch.jpg", ".space")


def _typed(page: Page, number: str, text: str) -> None:
    box = page.get_by_label(f"Hinge point {number}", exact=True)
    box.fill(text)
    box.press("Enter")
    page.wait_for_timeout(2000)


def _door_sheet(chromium: Browser, drawing: Path, path: Path) -> None:
    page = chromium.new_page(viewport={"width": 1100, "height": 1150})
    svg = drawing.read_text(encoding="utf-8")
    page.set_content(f"<body style='margin:0'>{svg}</body>")
    page.add_style_tag(content="svg {width: 1100px; height: 1150px} * {stroke-width: 2.5px}")
    page.screenshot(path=path)
    page.close()
    Image.open(path).convert("L").quantize(16).save(path, optimize=True)
