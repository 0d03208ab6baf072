"""Bays between wires, and the wires that are proposed, on a van-like tunnel with nothing yet."""

from functools import cache

import numpy as np
import pytest

from buckwright.buck import Proposals, accept_wires, make_buck, propose_wires, push_deflection
from buckwright.model.buck import Buck, BuckSpec
from skins_on_paper import tunnel
from tubes_in_space import deepest_clash

SPEC = BuckSpec(wires=())


@cache
def _proposals() -> Proposals:
    skin, network = tunnel()
    return propose_wires(network, skin, SPEC)


@cache
def _accepted() -> Buck:
    skin, network = tunnel()
    return make_buck(accept_wires(SPEC, _proposals().proposed), network, skin)


def test_every_line_gets_a_wire_and_a_reason() -> None:
    _, network = tunnel()
    lines = [p for p in _proposals().proposed if p.why == "line"]
    assert {p.wire.line for p in lines} == {line.name for line in network.lines}
    assert all(p.reason.endswith(".") and p.before is None for p in lines)


def test_a_section_says_which_bay_it_divides_and_what_becomes_of_it() -> None:
    sections = [p for p in _proposals().proposed if p.why != "line"]
    assert len(sections) > 5
    for each in sections:
        assert each.before is not None
        assert not (each.before.shape_held and each.before.stiff)
        assert each.before.wires[0] in each.reason
        assert each.after
        assert all(each.wire.name in bay.wires for bay in each.after)
        assert each.wire.plane is not None
        assert each.wire.plane[1] % 10.0 == 0.0


def test_what_is_proposed_lies_alike_on_both_sides() -> None:
    across = sorted(
        p.wire.plane[1]
        for p in _proposals().proposed
        if p.wire.plane is not None and p.wire.plane[0] == "y"
    )
    assert across == sorted(-value for value in across)


def test_with_all_of_it_in_place_no_bay_breaks_a_rule_by_much() -> None:
    buck = _accepted()
    assert buck.bays
    for bay in buck.bays:
        assert bay.deflection <= 1.25 * SPEC.push_limit, bay.wires
        assert bay.held_sagitta <= 1.25 * SPEC.sagitta_limit, bay.wires
        assert bay.deflection == pytest.approx(
            push_deflection(bay.width, diameter=6.35, force=SPEC.hand_push)
        )
        assert f"{bay.deflection:.1f} mm" in bay.words
        assert f"{bay.sagitta:.1f} mm" in bay.words
    assert buck.proposed == ()


def test_the_form_that_is_proposed_can_be_made() -> None:
    buck = _accepted()
    depth, which = deepest_clash(buck.wires)
    assert depth < 0.05, which
    assert "rods-clash" not in {finding.code for finding in buck.findings}


def test_bays_come_worst_first() -> None:
    worst = [
        max(b.held_sagitta / SPEC.sagitta_limit, b.deflection / SPEC.push_limit)
        for b in _accepted().bays
    ]
    assert np.all(np.diff(worst) <= 1e-12)


def test_stricter_rules_ask_for_more_wires() -> None:
    skin, network = tunnel()
    strict = SPEC.model_copy(update={"push_limit": 1.0})
    more = propose_wires(network, skin, strict).proposed
    assert len(more) > len(_proposals().proposed)
