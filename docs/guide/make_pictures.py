"""Make the pictures of the guide from the demo's real job and packet.

Run after `make demo`; needs Debian's chromium and pdftoppm. `make guide` calls it.
"""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

from buck_shots import photograph_buck
from departure_pictures import photograph_departures
from draft_pictures import photograph_draft
from field_pictures import photograph_fields
from handing_pictures import photograph_handing
from line_pictures import photograph_lines
from linked_pictures import photograph_linked
from network_pictures import photograph_network
from opening_pictures import photograph_openings
from panel_pictures import map_meshes, photograph_panels
from people_pictures import photograph_people
from piece_pictures import photograph_pieces
from PIL import Image
from playwright.sync_api import Page, sync_playwright
from shoot_pictures import photograph_shoot
from sides_pictures import photograph_sides
from skin_pictures import photograph_skin
from tape_pictures import photograph_tapes
from trace_pictures import photograph_tracing
from treatment_pictures import photograph_treatments
from view_pictures import draw_views

HERE = Path(__file__).parent
OUT = HERE / "pictures"
ROOT = HERE.parents[1]
JOB = ROOT / "demo" / "wren.buck"
SHEETS = ("people", "pictures", "lines", "skin", "buck", "panels", "gauges", "checking", "plan")
MOST_HIGH = 1500
FLAGS = ["--enable-unsafe-swiftshader", *(["--no-sandbox"] if os.geteuid() == 0 else [])]


def main() -> None:
    OUT.mkdir(exist_ok=True)
    model = Image.open(ROOT / "examples" / "wren" / "pictures" / "wren_03.jpg")
    model.resize((1280, 960)).save(OUT / "model.jpg", quality=80)
    photograph_sheets()
    map_meshes(OUT)
    draw_views(OUT)
    rasterise("cover.pdf", "cover.png", page=1, width=900)


def photograph_sheets() -> None:
    server = subprocess.Popen(
        [sys.executable, "-m", "buckwright", "open", str(JOB), "--no-browser"],
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert server.stdout is not None
        address = re.search(r"http://\S+", server.stdout.readline())
        assert address is not None
        with sync_playwright() as playwright:
            chromium = playwright.chromium.launch(
                executable_path=os.environ.get("CHROMIUM") or shutil.which("chromium"), args=FLAGS
            )
            page = chromium.new_page(viewport={"width": 1280, "height": 900})
            page.goto(address.group())
            for sheet in SHEETS:
                photograph(page, sheet)
            photograph_people(page, OUT)
            photograph_shoot(page, OUT, JOB)
            photograph_gauges(page)
            photograph_panels(page, OUT)
            photograph_skin(page, OUT)
            photograph_fields(page, OUT)
            photograph_sides(page, OUT)
            draw_bend_sheet(page)
            photograph_buck(chromium, JOB, OUT)
            photograph_tracing(chromium, JOB, OUT)
            photograph_lines(chromium, JOB, OUT)
            photograph_linked(chromium, JOB, OUT)
            photograph_network(chromium, JOB, OUT)
            photograph_tapes(chromium, JOB, OUT)
            photograph_pieces(chromium, JOB, OUT)
            photograph_departures(chromium, JOB, OUT)
            photograph_handing(chromium, JOB, OUT)
            photograph_draft(chromium, JOB, OUT)
            photograph_treatments(chromium, JOB, OUT)
            photograph_openings(chromium, JOB, ROOT / "demo" / "packet", OUT)
            chromium.close()
    finally:
        server.terminate()
        server.wait()


def photograph(page: Page, sheet: str) -> None:
    page.evaluate(f"() => {{ location.hash = '{sheet}' }}")
    page.wait_for_timeout(6000)
    passing = OUT / f"{sheet}.png"
    page.screenshot(path=passing, full_page=True)
    image = Image.open(passing).convert("RGB")
    image.crop((0, 0, image.width, min(image.height, MOST_HIGH))).save(
        OUT / f"{sheet}.jpg", quality=82
    )
    passing.unlink()


def photograph_gauges(page: Page) -> None:
    """Cards and combs over the skin, and one card as it is cut."""
    page.evaluate("() => { location.hash = 'gauges' }")
    page.locator(".space[data-drawn=yes]").wait_for()
    page.locator(".cards button").filter(has_text="x 280 left").click()
    page.wait_for_timeout(4000)
    for selector, name in ((".space", "gauges-space"), ("figure:has(.hand)", "gauges-card")):
        passing = OUT / f"{name}.png"
        page.locator(selector).first.screenshot(path=passing)
        Image.open(passing).convert("RGB").save(OUT / f"{name}.jpg", quality=82)
        passing.unlink()


def draw_bend_sheet(page: Page) -> None:
    """One wire's sheet, as its SVG shows it."""
    drawing = (ROOT / "demo" / "packet" / "svg" / "wire-scuttle-front.svg").read_text()
    passing = ROOT / "demo" / "bend-sheet.html"
    passing.write_text(
        "<style>body{margin:12px;background:#fff}svg{width:1250px;height:auto}</style>" + drawing
    )
    page.goto(passing.as_uri())
    page.locator("svg").screenshot(path=OUT / "bend-sheet.png")
    passing.unlink()


def rasterise(pdf: str, name: str, *, page: int, width: int) -> None:
    source = ROOT / "demo" / "packet" / pdf
    subprocess.run(
        ["pdftoppm", "-png", "-singlefile", "-f", str(page), "-l", str(page),
         "-scale-to-x", str(width), "-scale-to-y", "-1", str(source),
         str(OUT / Path(name).stem)],
        check=True,
    )  # fmt: skip


if __name__ == "__main__":
    main()
