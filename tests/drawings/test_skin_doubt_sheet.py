"""The sheet of the packet that shows where the skin is in doubt."""

import numpy as np

from buckwright.drawings import skin_doubt_sheets
from buckwright.model.finding import Finding, PlacedFinding
from buckwright.model.job import Job
from buckwright.model.skin import Skin
from networks_on_paper import two_panels


def _found(code: str, place: tuple[float, float, float], kind: str = "doubt") -> PlacedFinding:
    return PlacedFinding(
        code=code,
        where="near panel",
        message=f"The skin has a {code}.",
        remedy="Trace a line across.",
        place=place,
        kind=kind,
    )


def test_every_doubt_with_a_place_is_ringed_in_both_views_and_told_below() -> None:
    network, _ = two_panels()
    placed = (_found("fold", (300.0, 100.0, 0.0)), _found("soft-spot", (700.0, 300.0, 0.0)))
    more = (
        _found("scan-mended", (1.0, 2.0, 3.0), kind="note"),
        Finding(code="x", where="y", message="No place.", remedy="None."),
        placed[0],
    )
    job = Job(name="Plate")
    assert skin_doubt_sheets(job, Skin(regions=()), network) == ()
    (sheet,) = skin_doubt_sheets(job, Skin(regions=(), findings=(*placed, *more)), network)
    middles = [s.points.mean(axis=0) for s in sheet.strokes if s.name.startswith("doubt")]
    assert [s.name for s in sheet.strokes if s.name.startswith("doubt")] == [
        "doubt 1",
        "doubt 2",
    ] * 2
    side, plan = np.array(middles[:2]), np.array(middles[2:])
    assert np.allclose(side, [[60.0, 0.0], [140.0, 0.0]], atol=1e-6)
    # One in five; in plan the second lies 200 mm to the right of the first, below the elevation.
    assert np.allclose(plan[1] - plan[0], [80.0, 40.0])
    assert plan[:, 1].max() < side[:, 1].min()
    told = " ".join(label.text for label in sheet.labels)
    assert "1: near panel. The skin has a fold." in told
    assert "2: near panel" in told
    assert "scan-mended" not in told
    low, high = sheet.box()
    assert (high > low).all()
