"""What holds of every check: it agrees with the findings, and a stronger string never does worse."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rule_holes import cable, component, hole, pipe, pump, reading

from wellbook.hole.hole import Hole
from wellbook.hole.parts import CheckValve, Pipe, Switch
from wellbook.rules import catalogue
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.finding import Settings
from wellbook.terms import Basis, LevelState, Quantity, Verdict

SHOP = Settings()
FEET = st.integers(20, 900).map(float)


@st.composite
def hung(draw: st.DrawFn) -> Hole:
    depth = draw(FEET)
    parts = [
        pump(
            "2019-06-03",
            hp=draw(st.sampled_from([0.5, 0.75, 1.0, 1.5, None])),
            rated_gpm=draw(st.sampled_from([5.0, 7.0, 10.0, None])),
            set_depth_ft=depth,
        ),
        pipe(
            "2019-06-03",
            rating_psi=draw(st.sampled_from([100.0, 160.0, 200.0, 250.0])),
            to_ft=depth,
        ),
        cable("2019-06-03", awg=draw(st.sampled_from([14, 12, 10, None])), to_ft=depth),
        component(Switch(cut_in_psi=40.0, cut_out_psi=draw(st.sampled_from([50.0, 60.0])))),
    ]
    if draw(st.booleans()):
        parts.append(component(CheckValve(depth_ft=draw(FEET))))
    levels = [
        reading(
            Quantity.WATER_LEVEL_FT, draw(FEET), "2024-05-01", state=state, basis=Basis.MEASURED
        )
        for state in (LevelState.STATIC, LevelState.PUMPING)
        if draw(st.booleans())
    ]
    return hole(components=parts, observations=levels)


def verdicts(checks: list[Check], verdict: Verdict) -> set[tuple[str, str]]:
    return {(c.rule, c.aspect) for c in checks if c.verdict is verdict}


@given(hung())
def test_findings_come_of_checks_that_do_not_pass(well: Hole) -> None:
    for check in catalogue.checks(well, SHOP):
        assert check.says
        assert check.source
        assert bool(check.missing) == (check.verdict is Verdict.CANNOT_SAY), check
        if check.verdict is Verdict.PASS:
            assert check.finding is None
        if check.margin is not None and check.verdict is Verdict.PASS:
            assert check.margin >= -1e-3, check


@given(hung())
def test_what_passes_still_passes_with_a_stronger_pipe(well: Hole) -> None:
    stronger = replace(
        well,
        components=tuple(
            replace(c, part=replace(c.part, rating_psi=(c.part.rating_psi or 0) + 60))
            if isinstance(c.part, Pipe)
            else c
            for c in well.components
        ),
    )
    before, after = (catalogue.checks(w, SHOP) for w in (well, stronger))
    assert verdicts(after, Verdict.FAIL) <= verdicts(before, Verdict.FAIL)


@given(hung(), st.floats(0.1, 0.9))
def test_a_section_split_in_two_of_the_same_kind_changes_nothing(well: Hole, at: float) -> None:
    split = []
    for c in well.components:
        if isinstance(c.part, Pipe) and c.part.to_ft:
            middle = round(c.part.to_ft * at)
            split.append(replace(c, part=replace(c.part, to_ft=float(middle))))
            split.append(replace(c, uid=c.uid + "b", part=replace(c.part, from_ft=float(middle))))
        else:
            split.append(c)
    before, after = (
        catalogue.checks(w, SHOP) for w in (well, replace(well, components=tuple(split)))
    )
    assert verdicts(before, Verdict.FAIL) == verdicts(after, Verdict.FAIL)


@given(hung(), st.integers(1, 200))
def test_deeper_is_never_less_pressure(well: Hole, more: int) -> None:
    def deeper(c):  # type: ignore[no-untyped-def]
        name = {"Pipe": "to_ft", "Pump": "set_depth_ft"}.get(type(c.part).__name__)
        if name is None:
            return c
        return replace(c, part=replace(c.part, **{name: getattr(c.part, name) + more}))

    lower = replace(well, components=tuple(deeper(c) for c in well.components))

    def psi(w: Hole) -> float:
        return max(c.value or 0.0 for c in catalogue.checks(w, SHOP) if c.aspect == "column alone")

    assert psi(lower) >= psi(well)


def test_what_cannot_be_said_names_what_is_missing() -> None:
    check = cannot_say("pipe-rating", "column alone", "pipe", "rating", "size", source="x")
    assert (check.verdict, check.missing) == (Verdict.CANNOT_SAY, ("rating", "size"))
    assert check.margin is None


@pytest.mark.parametrize(("at_least", "margin"), [(False, 40.0), (True, -40.0)])
def test_the_margin_is_on_the_right_side_of_the_limit(at_least: bool, margin: float) -> None:
    check = Check("r", "a", "s", Verdict.PASS, "x", "y", 160.0, 200.0, "psi", at_least)
    assert check.margin == margin
