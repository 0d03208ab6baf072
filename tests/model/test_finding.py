"""Doubts and notes, and which of them say the same."""

import pytest
from pydantic import ValidationError

from buckwright.model.finding import Finding, alike, doubts_of, notes_of, who_else


def finding(where, message, **more):
    return Finding(code="c", where=where, message=message, remedy="Mend it.", **more)


def test_a_finding_is_a_doubt_unless_it_is_said_to_be_a_note():
    old = Finding.model_validate_json('{"code":"a","where":"b","message":"c","remedy":"d"}')
    note = finding("x", "y", kind="note")
    assert old.kind == "doubt"
    assert doubts_of((old, note)) == (old,)
    assert notes_of((old, note)) == (note,)
    with pytest.raises(ValidationError):
        finding("x", "y", kind="remark")


def test_sentences_that_differ_in_figures_and_quoted_names_alone_are_alike():
    first = finding("door", "It runs through 'belt' by 12.70 mm.")
    second = finding("sill", "It runs through 'belt', 'roof line' and 'door' by 6.35 mm.")
    other = finding("rim", "It runs beside 'belt' by 12.70 mm.")
    groups = alike((first, other, second))
    assert groups == ((first, second), (other,))
    assert who_else(groups[0]) == ("sill",)
    assert who_else(groups[1]) == ()


def test_a_doubt_and_a_note_are_never_alike_and_neither_are_two_codes():
    first = finding("a", "It is long.")
    note = finding("b", "It is long.", kind="note")
    coded = finding("c", "It is long.").model_copy(update={"code": "d"})
    assert [len(group) for group in alike((first, note, coded))] == [1, 1, 1]


def test_a_thing_with_two_alike_doubts_is_named_once():
    group = alike((finding("a", "1 mm."), finding("b", "2 mm."), finding("b", "3 mm.")))[0]
    assert who_else(group) == ("b",)
