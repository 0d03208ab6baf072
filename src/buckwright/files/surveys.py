"""Points measured on something built: a table of x, y, z with a few lines of facts before it.

# region: front wing
# side: left
# sigma: 0.3 mm
x,y,z
412.1,-655.0,601.2
"""

from pathlib import Path

import numpy as np

from buckwright.errors import FileError
from buckwright.model.checking import Survey
from buckwright.units import parse_length

__all__ = ["read_survey"]

_SIDES = ("whole", "left", "right")


def read_survey(path: Path) -> Survey:
    """The survey in this file, in millimetres unless its line `# units:` says otherwise.

    Raises FileError naming the line that is wrong.
    """
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise FileError(f"{path} cannot be read as text.", "Save it as a CSV file.") from error
    facts: dict[str, str] = {}
    rows: list[list[float]] = []
    for number, line in enumerate(lines, start=1):
        text = line.strip()
        if text.startswith("#"):
            key, _, value = text.lstrip("# ").partition(":")
            facts[key.strip().lower()] = value.strip()
        elif text and not text.lower().replace(" ", "").startswith("x,y,z"):
            rows.append(_row(text, f"Line {number} of {path.name}"))
    if "region" not in facts:
        raise FileError(
            f"{path.name} does not say which part was measured.",
            "Begin it with a line such as '# region: front wing'.",
        )
    side = facts.get("side", "whole")
    if side not in _SIDES:
        raise FileError(f"{path.name} has side '{side}'.", f"Use one of {', '.join(_SIDES)}.")
    unit = parse_length(f"1 {facts.get('units', 'mm')}")
    return Survey(
        name=facts.get("name", path.stem.removeprefix("survey_").replace("_", " ")),
        region=facts["region"],
        side=side,
        points=np.array(rows, dtype=np.float64).reshape(-1, 3) * unit,
        sigma=parse_length(facts.get("sigma", "0.5 mm")),
    )


def _row(text: str, where: str) -> list[float]:
    parts = text.replace(";", ",").split(",")
    try:
        numbers = [float(part) for part in parts]
    except ValueError:
        numbers = []
    if len(numbers) != 3 or not np.all(np.isfinite(numbers)):
        raise FileError(
            f"{where} is not three numbers: '{text[:60]}'.", "Mend or delete that line."
        )
    return numbers
