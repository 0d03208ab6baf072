"""Pictures of the chapter 'Taking pictures': two mats and the plan of a shoot half done."""

import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image
from playwright.sync_api import Page

from buckwright.capture.shoot import advise_shoot, shoot_so_far
from buckwright.drawings.shoots import shoot_sheet
from buckwright.files.matsheet import write_mat_pdf
from buckwright.files.svg import svg_text
from buckwright.model.mats import printed_mat
from buckwright.store import JobFile

__all__ = ["photograph_shoot"]

_HALF_WAY = 9


def photograph_shoot(page: Page, out: Path, job: Path) -> None:
    """Write mat-a2, mat-card and shoot-plan; the page lends its browser."""
    with TemporaryDirectory() as folder:
        for kind, name in (("A2", "mat-a2"), ("cards", "mat-card")):
            pdf = Path(folder) / f"{name}.pdf"
            write_mat_pdf(printed_mat(kind), pdf)
            asked = ["pdftoppm", "-png", "-singlefile", "-scale-to", "900", str(pdf)]
            subprocess.run([*asked, str(out / name)], check=True)
            Image.open(out / f"{name}.png").convert("L").quantize(16).save(out / f"{name}.png")
    with JobFile.open(job) as file:
        solved = file.products().calibration
    assert solved is not None
    advice = advise_shoot(shoot_so_far(solved).stands[:_HALF_WAY])
    browser = page.context.browser
    assert browser is not None
    plan = browser.new_page()
    plan.set_viewport_size({"width": 900, "height": 900})
    svg = svg_text(shoot_sheet(advice)).split("?>", 1)[1]
    plan.set_content(f"<style>svg{{width:880px;height:auto}}</style>{svg}")
    plan.screenshot(path=out / "shoot-plan.png")
    plan.close()
