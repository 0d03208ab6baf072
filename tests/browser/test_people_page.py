"""The sheet of the people on the page: layout, sight, sizes and proposals."""

import shutil

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import serving
from browser.test_reach import BEYOND_THE_SIDE, RULES, SMALL_TARGETS, SMALL_WORDS, SMALLEST
from buckwright.lines.departing import place_on_reference
from buckwright.model.job import step_digests
from buckwright.model.lines import Line, LineNetwork
from buckwright.model.package import Box, PackageSpec
from buckwright.people import Around, complete_fit, fit_people
from buckwright.store import JobFile

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def laid_out(job_template, tmp_path_factory):
    """The invented job with two people who lack width and room for their legs."""
    path = shutil.copy(job_template, tmp_path_factory.mktemp("people") / "plover.buck")
    with JobFile.open(path) as file:
        job, products = file.job(), file.products()
        spec = PackageSpec(engine=Box(low=(-250.0, -240.0, 350.0), high=(300.0, 240.0, 900.0)))
        question = job.people.model_copy(update={"package": spec, "abreast": 1250.0})
        job = job.model_copy(update={"people": question})
        file.change("people seated", job)
        answer = fit_people(question, products.skin, width_sigma=1.0)
        around = Around(screened(products.lines.network), products.skin)
        whole = complete_fit(
            answer,
            question,
            around,
            to_reference=lambda axis, value: place_on_reference(axis, value, job.departures),
        )
        kept = products.model_copy(update={"people": whole})
        digests = step_digests(file.job())
        digests.pop("drawings")
        file.keep_products(kept, digests)
    return path


def screened(network: LineNetwork) -> LineNetwork:
    """The lines with a screen before the people, which the invented van has not."""
    corners = np.array(
        [[700.0, -560.0, 900.0], [900.0, -520.0, 1500.0], [900.0, 520.0, 1500.0],
         [700.0, 560.0, 900.0]]
    )  # fmt: skip
    knots = np.array([0.0, 0.0, 1.0 / 3.0, 2.0 / 3.0, 1.0, 1.0])
    edge = Line(name="screen edge", degree=1, knots=knots, control=corners, closed=False, sigma=1)
    base = edge.model_copy(
        update={
            "name": "screen base",
            "knots": np.array([0.0, 0.0, 1.0, 1.0]),
            "control": corners[[0, 3]],
        }
    )
    return LineNetwork(lines=(*network.lines, edge, base), crossings=())


@pytest.fixture
def served_people(laid_out, tmp_path, open_page):
    with serving(shutil.copy(laid_out, tmp_path / "plover.buck")) as address:
        yield address
        open_page.leave()


def test_people_and_things_are_drawn_in_three_views_and_in_space(open_page, served_people):
    page = open_page(served_people)
    things = page.locator('.cab .thing[data-name="Ines\'s trunk"]')
    expect(things).to_have_count(3)
    expect(page.locator('.cab .thing[data-name="engine box"]')).to_have_count(3)
    expect(page.locator(".cab .sight").first).to_be_attached()
    expect(page.locator(".cab .hidden-behind").first).to_be_attached()
    page.locator(".space[data-drawn=yes]").wait_for()
    page.get_by_text("wheels and engine", exact=True).click()
    expect(things).to_have_count(0)
    expect(page.locator('.cab .thing[data-name="engine box"]')).to_have_count(3)


def test_a_row_of_the_table_is_shown_where_it_is_in_the_views(open_page, served_people):
    page = open_page(served_people)
    expect(page.locator(".cab .spot")).to_have_count(0)
    page.get_by_role("button", name="Ines's head", exact=True).click()
    expect(page.locator(".cab .spot")).to_have_count(3)


def test_a_proposed_stretch_is_accepted_and_undone(open_page, served_people):
    page = open_page(served_people)
    wider = page.locator(".proposals li", has_text="wider for the people")
    expect(wider).to_contain_text("are lacking at the shoulders")
    wider.get_by_role("button", name="Accept this stretch").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".stale").first).to_be_visible()
    page.locator('nav a[href="#lines"]').click()
    expect(page.locator(".departures")).to_contain_text("wider for the people")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(".departures")).not_to_contain_text("wider for the people")


def test_a_size_is_typed_and_nonsense_is_refused_in_a_sentence(open_page, served_people):
    page = open_page(served_people, forgiven="422")
    page.get_by_text("Tom: measured", exact=True).click()
    box = page.locator("details[open]").get_by_label("hip breadth", exact=True)
    box.fill("39,5 cm")
    box.press("Enter")
    expect(box).to_have_value("395 mm")
    sizes = page.get_by_role("region", name="Sizes of the people")
    expect(sizes.get_by_role("row", name="hip breadth")).to_contain_text("395 mm")
    box.fill("3 m")
    box.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("cannot be the hip breadth")
    expect(box).to_have_value("395 mm")


def test_somebody_is_seated_by_percentile(open_page, served_people):
    page = open_page(served_people)
    page.get_by_text("Seat another person", exact=True).click()
    form = page.locator("details[open]")
    form.get_by_label("Name").fill("Kit")
    form.get_by_text("a woman", exact=True).click()
    form.get_by_label("larger than this share").fill("5")
    form.get_by_role("button", name="Seat this person").click()
    expect(page.get_by_text("Kit: women, 5 %", exact=True)).to_be_visible()


@pytest.mark.parametrize(("width", "scheme"), [(1280, "dark"), (820, "light")])
def test_the_whole_sheet_with_all_edits_open_is_within_reach(
    open_page, served_people, scheme, width
):
    size = {"width": width, "height": 900}
    page = open_page(served_people, color_scheme=scheme, viewport=size)
    page.evaluate("() => document.querySelectorAll('details').forEach(d => { d.open = true })")
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate(SMALL_WORDS) == []
    assert page.evaluate(BEYOND_THE_SIDE) <= 0


def test_a_job_without_a_layout_offers_to_begin_one(open_page, served):
    page = open_page(served)
    expect(page.locator(".cab")).to_have_count(0)
    page.get_by_role("button", name="Lay out seats").click()
    expect(page.get_by_text("Steering, wheels, roof, glass", exact=True)).to_be_visible()
