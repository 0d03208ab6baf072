"""Fixtures that several folders share."""

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest


@dataclass(frozen=True)
class Run:
    """What a command answered."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> dict[str, Any]:
        return dict(json.loads(self.out))


def buckwright(*arguments: str | Path) -> Run:
    """Run the command in a process of its own, as a user does."""
    done = subprocess.run(
        [sys.executable, "-m", "buckwright", *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
    )
    return Run(done.returncode, done.stdout, done.stderr)


@pytest.fixture(name="command", scope="session")
def _command() -> Any:
    return buckwright


@dataclass(frozen=True)
class Demo:
    """The demo as it was run once for the whole session."""

    folder: Path
    told: dict[str, Any]

    @property
    def job(self) -> Path:
        return self.folder / "wren.buck"

    @property
    def packet(self) -> Path:
        return self.folder / "packet"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The longest files first, so that no worker is left alone with one of them at the end."""
    first = ("tests/journeys/test_demo.py", "tests/browser/test_journeys.py")
    rank = {name: place for place, name in enumerate(first)}
    items.sort(key=lambda item: rank.get(item.nodeid.partition("::")[0], len(first)))


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    """The example solved from its JPEGs and traces; tests that use it are slow."""
    folder = tmp_path_factory.mktemp("demo")
    run = buckwright("demo", "--out", folder, "--json")
    assert run.code == 0, run.err
    return Demo(folder, run.json)
