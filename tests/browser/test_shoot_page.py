"""A shoot on the page: a bar typed in, photographs taken in and refused, one taken out, undone."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import serving
from browser.test_reach import RULES, SMALL_TARGETS, SMALLEST
from buckwright.model.job import Job
from buckwright.store import JobFile
from mat_pictures import MAT, STANDS, picture, saved, tags

pytestmark = pytest.mark.browser


@pytest.fixture
def page(tmp_path, open_page):
    path = tmp_path / "shoot.buck"
    JobFile.create(path, Job(name="Shoot", mat=MAT)).close()
    with serving(path) as address:
        page = open_page(address, forgiven="status of 422")
        page.evaluate("() => { location.hash = 'pictures' }")
        page.locator("main[data-sheet=pictures][data-ready=true]").wait_for()
        yield page
        open_page.leave()


def test_a_shoot_is_taken_in_and_its_bar_typed_by_keyboard(page):
    expect(page.locator("main")).to_contain_text("Walk round the mat twice")
    expect(page.locator(".stale")).to_contain_text("The scale is not measured")
    bar = page.get_by_label("bar 1, drawn 220 mm")
    bar.focus()
    page.keyboard.type("220.35")
    page.keyboard.press("Enter")
    expect(bar).to_have_value("220.35 mm")
    expect(page.locator(".stale")).to_have_count(0)

    shots = [
        {
            "name": f"p{k}.jpg",
            "mimeType": "image/jpeg",
            "buffer": saved(picture(STANDS[k]), exif=tags()),
        }
        for k in (0, 5)
    ]
    black = {"name": "black.jpg", "mimeType": "image/jpeg", "buffer": saved(picture() // 16)}
    page.get_by_label("Add photographs").set_input_files([*shots, black])
    expect(page.locator("main")).to_contain_text("The picture black.jpg is black or nearly so.")
    served = page.locator("section", has_text="Pictures that serve").last
    expect(served).to_contain_text("2 by Maker, Pocket 7, 4.2 mm, 800 × 600 pixels")
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate("() => document.documentElement.scrollWidth - innerWidth") <= 0

    served.locator("summary").click()
    served.get_by_label("picture").select_option("p5.jpg")
    served.get_by_role("button", name="Take it out").click()
    expect(served).to_contain_text("1 by Maker")
    page.get_by_role("button", name="Undo").click()
    expect(served).to_contain_text("2 by Maker")
