"""The sheets in the order in which the page shows them.

Each module gives `answer`, one sentence with its number and its doubt, or None while the step is
not worked out; and `detail`, what the sheet's picture and tables show, ready for JSON.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from buckwright.flow import findings_of
from buckwright.model.finding import Finding, alike, doubts_of, notes_of
from buckwright.model.job import Job, Products
from buckwright.web.desk import View
from buckwright.web.sheets import (
    buck,
    checking,
    drawings,
    gauges,
    lines,
    openings,
    panels,
    people,
    pictures,
    plan,
    skin,
)
from buckwright.web.words import Words

__all__ = ["SHEETS", "Sheet", "sheet_content", "sheet_outline"]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A step as the page shows it."""

    name: str
    question: str
    answer: Callable[[Job, Products], Words | None]
    detail: Callable[[Job, Products], dict[str, Any]]
    lacking: str
    """What to do first while there is no answer."""


SHEETS: dict[str, Sheet] = {
    sheet.name: sheet
    for sheet in (
        Sheet(
            "people",
            "Will they fit?",
            people.answer,
            people.detail,
            "It needs the skin, and the body sizes of the people who must sit inside.",
        ),
        Sheet(
            "pictures",
            "What do we have?",
            pictures.answer,
            pictures.detail,
            "It needs photographs of the model on its mat, and traces along its lines.",
        ),
        Sheet(
            "lines",
            "Are the lines fair, and do the views agree?",
            lines.answer,
            lines.detail,
            "It needs the lines that the pictures give.",
        ),
        Sheet(
            "skin",
            "Is the skin smooth?",
            skin.answer,
            skin.detail,
            "It needs fair lines, and regions that name the lines around them.",
        ),
        Sheet(
            "openings",
            "How do the doors open?",
            openings.answer,
            openings.detail,
            "It needs the skin, and the lines round doors, windows and screens.",
        ),
        Sheet(
            "buck",
            "What do we bend and weld?",
            buck.answer,
            buck.detail,
            "It needs the skin, and the wires that are wanted.",
        ),
        Sheet(
            "panels",
            "Where must the metal move?",
            panels.answer,
            panels.detail,
            "It needs the skin, the sheet that is used, and where the seams run.",
        ),
        Sheet(
            "gauges",
            "What do we hold against it?",
            gauges.answer,
            gauges.detail,
            "It needs the skin, and the planes at which cards are wanted.",
        ),
        Sheet(
            "drawings",
            "What goes to the floor?",
            drawings.answer,
            drawings.detail,
            "It needs a buck, panels or gauges to draw.",
        ),
        Sheet(
            "checking",
            "How far off are we?",
            checking.answer,
            checking.detail,
            "It needs points measured on what was built.",
        ),
        Sheet(
            "plan",
            "Who does what next?",
            plan.answer,
            plan.detail,
            "It needs the crew, their sessions, and the shop's own work rates.",
        ),
    )
}


def sheet_outline(view: View) -> list[dict[str, Any]]:
    """Name, question, state and answer of every sheet, in order."""
    return [
        {
            "name": sheet.name,
            "question": sheet.question,
            "state": view.states.get(sheet.name, "not done"),
            "answer": sheet.answer(view.job, view.products),
            "doubts": len(doubts_of(_findings(view.products, sheet.name))),
        }
        for sheet in SHEETS.values()
    ]


def sheet_content(name: str, view: View) -> dict[str, Any]:
    """Everything on the sheet of that name; KeyError if there is none."""
    sheet = SHEETS[name]
    return {
        "name": name,
        "lacking": sheet.lacking,
        "findings": _told(_findings(view.products, name)),
        **sheet.detail(view.job, view.products),
    }


def _findings(products: Products, step: str) -> list[Finding]:
    return [finding for of, finding in findings_of(products) if of == step]


def _told(findings: list[Finding]) -> list[dict[str, Any]]:
    """Doubts before notes; what says the same of several things once, with the others in it."""
    return [
        {**group[0].model_dump(), "alike": [one.model_dump() for one in group[1:]]}
        for group in alike((*doubts_of(findings), *notes_of(findings)))
    ]
