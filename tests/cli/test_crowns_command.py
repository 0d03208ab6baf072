import csv
import json
from pathlib import Path

import numpy as np
import pytest

from buckwright.cli import main
from buckwright.model.job import Job, Products, Reference, step_digests
from buckwright.model.lines import LineNetwork, Placement
from buckwright.model.skin import Skin
from buckwright.store import JobFile
from skins_on_paper import grid_region, sphere

RADIUS = 1500.0


@pytest.fixture
def ball(tmp_path: Path) -> Path:
    path, job = tmp_path / "ball.buck", Job(name="Ball")
    region = grid_region(
        "roof",
        sphere(RADIUS),
        np.linspace(-0.4, 0.4, 49),
        np.linspace(-0.3, 0.3, 37),
        outward=lambda points: points,
    )
    placement = Placement(
        scale=1.0,
        rotation=np.eye(3),
        origin=np.zeros(3),
        wheelbase=2000.0,
        asymmetry_rms=0.0,
    )
    empty = LineNetwork(lines=(), crossings=())
    reference = Reference(
        placement=placement, placed=(), reference=empty, network=empty, wheelbase=2000.0
    )
    with JobFile.create(path, job) as file:
        digests = step_digests(job)
        known = Products(lines=reference, skin=Skin(regions=(region,)))
        file.keep_products(known, {step: digests[step] for step in ("lines", "skin")})
    return path


def test_a_ball_of_a_metre_and_a_half_is_medium_crown_all_over(
    ball: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["crowns", str(ball), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    (region,) = told["regions"]
    areas = region["areas_mm2"]
    assert areas["medium"] > 0.999 * sum(areas.values())
    assert told["soft_spots"] == []
    assert main(["crowns", str(ball)]) == 0
    said = capsys.readouterr().out
    assert "medium 100 %" in said
    assert "No dip is left" in said


def test_a_section_has_the_radius_of_its_circle(ball: Path, tmp_path: Path) -> None:
    with JobFile.open(ball) as file:
        skin = file.products(("skin",)).skin
    assert skin is not None
    centre = skin.regions[0].vertices.mean(axis=0)
    out = tmp_path / "section.csv"
    for plane in (f"y={centre[1]:.3f}mm", f"{centre[0]},{centre[1]},{centre[2]},0,1,0"):
        assert main(["crowns", str(ball), f"--section={plane}", "-o", str(out)]) == 0
        rows = list(csv.DictReader(out.read_text().splitlines()))
        radii = np.array([float(row["radius_mm"]) for row in rows])
        assert np.median(radii) == pytest.approx(RADIUS, rel=0.05)


@pytest.mark.parametrize("plane", ["y", "w=3", "1,2,3", "0,0,0,0,0,0", "x=9000mm"])
def test_a_plane_that_is_none_is_refused(
    ball: Path, tmp_path: Path, plane: str, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "section.csv"
    assert main(["crowns", str(ball), f"--section={plane}", "-o", str(out)]) == 1
    assert capsys.readouterr().err.strip().endswith(".")
    assert not out.exists()
