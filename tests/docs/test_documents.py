"""The documents say what is there."""

import re
from pathlib import Path

import pytest

from buckwright.cli import parser

ROOT = Path(__file__).parents[2]


def named_paths(text: str) -> list[str]:
    return re.findall(r"`((?:src|docs|tests|examples|bench|requirements)/[^`*]*)`", text)


@pytest.mark.parametrize("name", ["ARCHITECTURE.md", "CONTRIBUTING.md", "docs/checks.md"])
def test_every_path_named_exists(name: str) -> None:
    paths = named_paths((ROOT / name).read_text())
    assert paths
    assert [path for path in paths if not (ROOT / path).exists()] == []


def test_every_command_is_documented() -> None:
    guide = (ROOT / "docs" / "commands.md").read_text()
    commands = next(action.choices for action in parser()._actions if action.choices)
    assert commands
    assert [name for name in commands if f"`buckwright {name}" not in guide] == []


def test_the_two_commands_come_first_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text()
    assert readme.index("make demo") < readme.index("make test") < readme.index("![")


def test_links_to_other_pages_lead_somewhere() -> None:
    pages = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
    broken = [
        f"{page.name}: {link}"
        for page in pages
        for link in re.findall(r"[^!]\[[^\]]*\]\(([^)#]+)\)", page.read_text())
        if "://" not in link and not (page.parent / link).exists()
    ]
    assert broken == []


def test_pictures_of_the_documents_exist() -> None:
    pages = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
    missing = [
        f"{page.name}: {link}"
        for page in pages
        for link in re.findall(r"!\[[^\]]*\]\(([^)]+)\)", page.read_text())
        if not (page.parent / link).exists()
    ]
    assert missing == []


def test_every_outside_check_names_a_test_that_exists() -> None:
    rows = [
        line.split("|")
        for line in (ROOT / "docs" / "checks.md").read_text().splitlines()
        if line.startswith("| ") and "`tests/" in line
    ]
    assert len(rows) >= 10
    for row in rows:
        for path in named_paths("|".join(row)):
            assert (ROOT / path).exists(), path


def test_no_source_file_is_too_long() -> None:
    files = [
        path
        for folder in ("src", "tests", "examples", "bench", "docs")
        for ending in ("*.py", "*.ts", "*.tsx", "*.css")
        for path in (ROOT / folder).rglob(ending)
        if "node_modules" not in path.parts and "bundle" not in path.parts
    ]
    assert files
    assert [str(p) for p in files if len(p.read_text().splitlines()) > 400] == []
