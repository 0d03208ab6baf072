"""`buckwright openings` on a small job."""

import json
from pathlib import Path

import pytest

from buckwright.cli import main
from buckwright.model.job import Job, Products, step_digests
from buckwright.model.openings import GlassSpec, OpeningSpec
from buckwright.store import JobFile
from drawings import small_job
from openings_on_paper import DOOR, SIDE, WINDOW, door_spec, make_paper, side_glass


@pytest.fixture(scope="module")
def job_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A door that touches and a pane, with lines and skin worked out but no openings yet."""
    paper = make_paper()
    hinged = {"hinge_x": DOOR[0][0] + 12.5, "hinge_y": SIDE + 25.0}
    job = Job(
        name="Wren",
        openings=(
            door_spec(**hinged, glass=side_glass()),
            OpeningSpec(name="pane", kind="window", outline=("window",), glass=GlassSpec()),
        ),
    )
    lines = small_job.reference().model_copy(update={"network": paper.network})
    path = tmp_path_factory.mktemp("openings") / "wren.buck"
    with JobFile.create(path, job) as file:
        digests = step_digests(file.job())
        kept = {step: digests[step] for step in ("lines", "skin")}
        file.keep_products(Products(lines=lines, skin=paper.skin), kept)
    return path


def test_it_tells_the_first_touch_and_the_glass_and_writes_the_files(
    job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["openings", str(job_file), "-o", str(tmp_path / "out")]) == 0
    said = capsys.readouterr().out
    assert (
        "swings 12.05 of 60 degrees, then its front edge meets the jamb at its front edge" in said
    )
    assert "drops all of 150 mm" in said
    assert "pane (window)" in said
    written = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"openings.pdf", "openings.csv", "glass-pane.dxf", "swing-left-door.svg"} <= written


def test_json_holds_every_figure_without_the_meshes(
    job_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["openings", str(job_file), "--only", "pane", "--json"]) == 0
    (pane,) = json.loads(capsys.readouterr().out)["openings"]
    (x0, z0), (x1, z1) = WINDOW
    assert pane["pane"]["area"] == pytest.approx((x1 - x0 + 20) * (z1 - z0 + 20), rel=1e-2)
    assert "points" not in pane["outline"]
    assert pane["swing"] is None


def test_an_unknown_opening_a_job_without_any_and_one_without_skin_are_refused(
    job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["openings", str(job_file), "--only", "hatch"]) == 1
    assert "no opening 'hatch'. Choose from 'left door', 'pane'." in capsys.readouterr().err
    bare = tmp_path / "bare.buck"
    JobFile.create(bare, Job(name="Bare")).close()
    assert main(["openings", str(bare)]) == 1
    assert "no openings" in capsys.readouterr().err
    early = tmp_path / "early.buck"
    pane = OpeningSpec(name="pane", kind="window", outline=("window",))
    JobFile.create(early, Job(name="Early", openings=(pane,))).close()
    assert main(["openings", str(early)]) == 1
    assert "no skin yet" in capsys.readouterr().err
