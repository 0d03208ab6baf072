"""The demo's regions, deleted and found anew from the lines that its pictures gave."""

import shutil

import pytest

from buckwright.model.skin import RegionSpec
from buckwright.store import JobFile

pytestmark = pytest.mark.slow


def _about(spec: RegionSpec) -> tuple[object, ...]:
    names = (sorted(spec.boundary), sorted(spec.inner), sorted(spec.holes))
    return spec.name, *names, spec.side


def test_regions_that_were_deleted_are_found_anew_and_taken(demo, command, tmp_path) -> None:
    path = shutil.copy(demo.folder / "wren.buck", tmp_path / "wren.buck")
    with JobFile.open(path) as file:
        before = file.job()
        file.change("regions deleted", before.model_copy(update={"regions": ()}))
    run = command("fields", path, "--take", "--json")
    assert run.code == 0, run.err
    assert run.json["findings"] == []
    opened = {f["spec"]["name"] for f in run.json["regions"] if not f["metal"]}
    assert {"window left", "window right", "screen opening", "underside"} <= opened
    with JobFile.open(path) as file:
        after = file.job()
    assert sorted(map(_about, after.regions)) == sorted(map(_about, before.regions))
    assert run.json["panels_without_region"] == []
