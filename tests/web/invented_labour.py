"""Long works for tests: functions of a module, as a process of its own needs them."""

from io import BytesIO
from time import sleep
from zipfile import ZipFile

from buckwright.errors import JobError


def solve(path, tell, stopped):
    """Keeps the invented answers, telling its progress."""
    # Imported here: the other works should start at once.
    from buckwright.model.job import step_digests
    from buckwright.store import JobFile
    from web.invented import job_and_answers

    _, _, answers = job_and_answers()
    with JobFile.open(path) as file:
        digests = step_digests(file.job())
        digests.pop("drawings")
        for place, step in enumerate(digests):
            tell(step, place / len(digests))
        file.keep_products(answers, digests)


def wait(path, tell, stopped):
    """Goes on until it is stopped."""
    share = 0.0
    while not stopped():
        share = min(share + 0.01, 0.9)
        tell("skin", share)
        sleep(0.02)
    raise InterruptedError


def fail(path, tell, stopped):
    """Has no answer."""
    tell("lines", 0.4)
    raise JobError("The sill left has one point only.", "Trace it in a second picture.")


def packet(path, tell, stopped):
    """A zip with three files."""
    drawing = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60">'
        '<rect x="5" y="5" width="90" height="50" fill="none" stroke="black"/></svg>'
    )
    out = BytesIO()
    with ZipFile(out, "w") as archive:
        archive.writestr("cover.pdf", b"%PDF-1.4 invented")
        archive.writestr("gauges/FW1 L.svg", drawing)
        archive.writestr("lists/rods.csv", "wire,mm\nW1,2182.5\n")
    return out.getvalue()


def seams(path, tell, stopped, *, asked):
    """Goes on until it is stopped, and gives what it has then."""
    share = 0.0
    while not stopped() and share < 0.9:
        share = min(share + 0.02, 0.9)
        tell("seams", share)
        sleep(0.02)
    return found_seams(path, tell, stopped, asked=asked)


def found_seams(path, tell, stopped, *, asked):
    """Two ways to divide the wing, as a search that was stopped gives them."""
    from buckwright.model.seams import ShopReach
    from buckwright.units import parse_length
    from web.invented_seams import make_study

    reach = ShopReach(throat=parse_length(asked.get("throat", "900 mm")))
    return make_study(asked["region"], reach).model_dump_json().encode()


WORKS = {"solve": solve, "anew": solve, "packet": packet, "seams": seams}
