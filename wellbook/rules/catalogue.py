"""The rules, in the order in which they are listed."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from wellbook.errors import NotFoundError
from wellbook.hole.hole import Hole
from wellbook.rules import (
    cable_age,
    cable_wear,
    check_up,
    check_valve_spacing,
    control_box,
    doubtful_record,
    falling_capacity,
    falling_level,
    insulation,
    lift_limit,
    motor_load,
    observed_stall,
    pipe_rating,
    pump_age,
    pump_depth,
    record_gap,
    samples_owed,
    short_cycling,
    shut_off_pressure,
    string_fittings,
    suction_lift,
    unfinished,
    useless_depth,
    voltage_drop,
    water_test,
    yield_protection,
)
from wellbook.rules.check import Check
from wellbook.rules.finding import Finding, Rule, Settings
from wellbook.terms import Verdict, WellStatus

RULES: tuple[Rule, ...] = (
    pump_age.RULE,
    cable_age.RULE,
    cable_wear.RULE,
    pipe_rating.RULE,
    lift_limit.RULE,
    useless_depth.RULE,
    observed_stall.RULE,
    shut_off_pressure.RULE,
    pump_depth.RULE,
    suction_lift.RULE,
    string_fittings.RULE,
    voltage_drop.RULE,
    insulation.RULE,
    motor_load.RULE,
    control_box.RULE,
    short_cycling.RULE,
    check_valve_spacing.RULE,
    check_up.RULE,
    water_test.RULE,
    samples_owed.RULE,
    yield_protection.RULE,
    falling_level.RULE,
    falling_capacity.RULE,
    doubtful_record.RULE,
    unfinished.RULE,
    record_gap.RULE,
)


@cache
def by_name() -> dict[str, Rule]:
    """Rule name -> rule."""
    return {rule.name: rule for rule in RULES}


def the_rule(name: str) -> Rule:
    """The rule of that name, however its words are joined."""
    rule = by_name().get(name.strip().lower().replace("_", "-").replace(" ", "-"))
    if rule is None:
        raise NotFoundError(f"no rule is called '{name}'; there are: {', '.join(by_name())}")
    return rule


def judge(hole: Hole, settings: Settings) -> list[Finding]:
    """All that is wrong, due or not known about one well, worst first, whenever it holds from."""
    return sorted(_all(hole, settings), key=lambda f: (*f.rank, f.rule, f.occurrence))


def checks(hole: Hole, settings: Settings) -> list[Check]:
    """All that is held against a limit in a string: what passes, what fails, what cannot be said.

    A well that is sealed for good, or not drilled yet, has no string to be judged.
    """
    if hole.status is WellStatus.SEALED or hole.not_yet_drilled:
        return []
    hangs = hole.opened_up()
    return [
        check
        for rule in RULES
        if rule.checks is not None
        for check in rule.checks(hangs, settings.numbers(rule))
    ]


_OF_WHAT_HANGS = frozenset({insulation.NAME, motor_load.NAME, observed_stall.NAME})
_OF_THE_YEARS = frozenset({falling_level.NAME, falling_capacity.NAME})


def checks_of_a_plan(hole: Hole, settings: Settings) -> list[Check]:
    """The checks of a string that does not hang yet.

    Nobody can have read anything of it; and that a well was not watched for years is no gap in a
    plan, though a level that is known to fall counts.
    """
    return [
        check
        for check in checks(hole, settings)
        if check.rule not in _OF_WHAT_HANGS
        and not (check.rule in _OF_THE_YEARS and check.verdict is Verdict.CANNOT_SAY)
    ]


def _all(hole: Hole, settings: Settings) -> Iterator[Finding]:
    if not hole.owes or hole.not_yet_drilled:
        return
    # What is in store for the winter will hang there again: a pump past its years is best seen then.
    hangs = hole.opened_up()
    for rule in RULES:
        yield from rule.judge(hangs, settings.numbers(rule))
