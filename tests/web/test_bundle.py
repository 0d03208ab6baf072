"""The page's bundle: built from its sources, whole, in every wheel; and its own arithmetic."""

import importlib.util
import json
import os
import subprocess
from pathlib import Path
from zipfile import ZipFile

import pytest
from hatchling.build import build_wheel

ROOT = Path(__file__).parents[2]
CASES = ROOT / "tests" / "data" / "lengths.json"

SAY_LENGTHS = """
import { readFileSync } from "node:fs";
const { formatLength } = await import(process.argv[1]);
const cases = JSON.parse(readFileSync(process.argv[2], "utf8")).format;
console.log(JSON.stringify(cases.map(([mm, system, part]) => formatLength(mm, system, part))));
"""

SAY_FRAME = """
import { readFileSync } from "node:fs";
import { levelSegments, planeSection } from %s;
const square = Float32Array.from([0, 0, 0, 10, 0, 0, 10, 10, 0, 0, 10, 0]);
const sides = Uint32Array.from([0, 1, 2, 0, 2, 3]);
console.log(JSON.stringify({
  cut: planeSection(square, sides, "x", 4),
  beside: planeSection(square, sides, "x", 11),
  level: levelSegments(square, 3, sides, Float32Array.from([-1, 1, 1, -1])),
}));
"""


@pytest.fixture(scope="module")
def hatch_build():
    spec = importlib.util.spec_from_file_location("hatch_build", ROOT / "hatch_build.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    module.build_bundle()
    return module


def run_node(hatch_build, script, *arguments):
    command = [*hatch_build.node_command(), "--input-type=module", "-e", script, *arguments]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_the_page_writes_lengths_as_the_command_line_does(hatch_build):
    units = (hatch_build.SOURCE / "src" / "units.ts").as_uri()
    wanted = [text for *_, text in json.loads(CASES.read_text())["format"]]
    assert run_node(hatch_build, SAY_LENGTHS, units, str(CASES)) == wanted


def test_the_page_cuts_a_square_where_the_plane_is(hatch_build):
    section = json.dumps((hatch_build.SOURCE / "src" / "engines" / "section.ts").as_uri())
    said = run_node(hatch_build, SAY_FRAME % section)
    points = [said["cut"][k : k + 3] for k in range(0, len(said["cut"]), 3)]
    assert sorted(points) == [[4, 0, 0], [4, 4, 0], [4, 4, 0], [4, 10, 0]]
    assert said["beside"] == []
    assert {said["level"][k] for k in range(0, len(said["level"]), 3)} == {5}


def test_the_page_passes_the_strict_type_check(hatch_build):
    tsc = hatch_build.SOURCE / "node_modules" / "typescript" / "bin" / "tsc"
    command = [*hatch_build.node_command(), str(tsc), "--noEmit"]
    done = subprocess.run(
        command, cwd=hatch_build.SOURCE, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout


def test_no_file_of_the_page_is_long(hatch_build):
    sources = (hatch_build.SOURCE / "src").rglob("*.*")
    long = {path.name: len(path.read_text().splitlines()) for path in sources if path.is_file()}
    assert {name: count for name, count in long.items() if count > 400} == {}
    assert all(count < 300 for name, count in long.items() if name.endswith((".ts", ".tsx")))


def test_a_bundle_that_is_there_and_fresh_is_not_built_again(hatch_build, monkeypatch):
    def refuse(_):
        raise AssertionError("built again")

    monkeypatch.setattr(hatch_build, "_run", refuse)
    hatch_build.build_bundle()


def test_without_the_page_s_source_nothing_is_built(hatch_build, monkeypatch, tmp_path):
    monkeypatch.setattr(hatch_build, "SOURCE", tmp_path / "ui")
    monkeypatch.setattr(hatch_build, "BUNDLE", tmp_path / "bundle")
    with pytest.raises(hatch_build.BundleError, match="source is missing"):
        hatch_build.build_bundle()


def test_a_bundle_that_came_out_empty_fails_the_build(hatch_build, monkeypatch, tmp_path):
    monkeypatch.setattr(hatch_build, "BUNDLE", tmp_path / "bundle")
    (tmp_path / "bundle").mkdir()
    monkeypatch.setattr(hatch_build, "_run", lambda command: None)
    with pytest.raises(hatch_build.BundleError, match=r"lacks index\.html"):
        hatch_build.build_bundle()


def test_a_tool_that_fails_fails_the_build_and_says_what_it_said(hatch_build):
    command = [*hatch_build.node_command(), "-e", "console.error('no such wheel'); process.exit(3)"]
    with pytest.raises(hatch_build.BundleError, match="no such wheel"):
        hatch_build._run(command)


def test_the_bundle_carries_the_licences_of_what_is_in_it(hatch_build):
    notices = (hatch_build.BUNDLE / hatch_build.NOTICES).read_text()
    for name in ("preact", "three", "@preact/signals", "@fontsource/barlow"):
        assert f"{name}\n{'=' * len(name)}" in notices
    assert notices.count("Copyright") >= 4


def test_the_lock_names_no_registry(hatch_build):
    lock = json.loads((hatch_build.SOURCE / "package-lock.json").read_text())
    packages = [entry for name, entry in lock["packages"].items() if name]
    assert all("resolved" not in entry and "integrity" in entry for entry in packages)


@pytest.mark.slow
def test_a_wheel_holds_the_page_and_none_of_its_source(hatch_build, tmp_path, monkeypatch):
    monkeypatch.chdir(ROOT)
    name = build_wheel(os.fspath(tmp_path))
    with ZipFile(tmp_path / name) as wheel:
        names = wheel.namelist()
    held = {
        f"buckwright/web/bundle/{path.relative_to(hatch_build.BUNDLE).as_posix()}"
        for path in hatch_build.BUNDLE.rglob("*")
        if path.is_file()
    }
    assert held <= set(names)
    assert "buckwright/web/bundle/index.html" in names
    assert not [path for path in names if "node_modules" in path or "/web/ui/" in path]
