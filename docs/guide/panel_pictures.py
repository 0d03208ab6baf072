"""Pictures for the chapter on panels: the page on the demo's job, and maps of exact shapes."""

import shutil
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image
from playwright.sync_api import Page

ROOT = Path(__file__).parents[2]
MESHES = {"roof_corner": "3003-H14", "roof_corner_half": "3003-O", "bonnet_side": "3003-H14"}
"""Each with the alloy that the chapter tries it in."""
WIDTH = 820
FIRST_TOOLS = """() => {
    const box = document.querySelector('#sheet .tools').getBoundingClientRect();
    return [box.left + scrollX, box.top + scrollY];
}"""
PATIENCE = 600_000
"""ms that a search for seams may take on a machine that does much else."""


def photograph_panels(page: Page, out: Path) -> None:
    """The sheet of panels, part by part, on a page that is open."""
    page.evaluate("() => { location.hash = 'panels' }")
    page.locator("#sheet[data-sheet=panels][data-ready=true]").wait_for()
    page.locator("canvas[data-drawn=yes]").wait_for()
    page.get_by_role("button", name="Show stretch").first.click()
    save(page, out / "panel-shape.jpg", high=1250)
    show(page, "edges")
    save(page, out / "panel-edges.jpg", high=1150)
    show(page, "seams")
    page.get_by_role("button", name="Search for seams").click()
    page.locator(".take").wait_for(timeout=PATIENCE)
    save(page, out / "panel-seams.jpg", high=2250)
    show(page, "metal and sheets")
    save(page, out / "panel-sheets.jpg", high=900)


def show(page: Page, view: str) -> None:
    page.get_by_text(view, exact=True).first.click()
    page.wait_for_timeout(3000)


def save(page: Page, path: Path, *, high: int) -> None:
    """What is on the sheet down to a height, narrow enough to read in a guide."""
    page.wait_for_timeout(2000)
    passing = path.with_suffix(".png")
    page.screenshot(path=passing, full_page=True)
    corner = page.evaluate(FIRST_TOOLS)
    image = Image.open(passing).convert("RGB")
    left, top = (int(number) - 20 for number in corner)
    part = image.crop((left, top, image.width - 20, min(image.height, top + high)))
    part.resize((WIDTH, part.height * WIDTH // part.width)).save(path, quality=74)
    passing.unlink()


def map_meshes(out: Path) -> None:
    """The shape maps of the exact shapes, as the command `blank` writes them."""
    with TemporaryDirectory() as passing:
        folder = Path(passing)
        script = ROOT / "examples" / "panels" / "make_meshes.py"
        subprocess.run([sys.executable, str(script), passing], check=True)
        for name, alloy in MESHES.items():
            made = folder / name
            command = [sys.executable, "-m", "buckwright", "blank", str(folder / f"{name}.obj")]
            metal = ["--alloy", alloy, "--thickness", "1.27mm", "--allowance", "10mm"]
            subprocess.run([*command, *metal, "-o", str(made)], check=True, capture_output=True)
            image = Image.open(made / "shape-map.png").convert("RGB")
            target = out / f"{name.replace('_', '-')}.jpg"
            image.resize((WIDTH, image.height * WIDTH // image.width)).save(target, quality=74)
            shutil.rmtree(made)
