"""The rules, in the order in which they are listed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
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
    papers_owed,
    pipe_rating,
    pump_age,
    pump_depth,
    record_gap,
    samples_owed,
    season,
    short_cycling,
    shut_off_pressure,
    string_fittings,
    suction_lift,
    unfinished,
    useless_depth,
    voltage_drop,
    water_figures,
    water_test,
    yield_protection,
)
from wellbook.rules.check import Check
from wellbook.rules.finding import Finding, OfPlan, Rule, Settings
from wellbook.terms import Role, Verdict, WellStatus

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
    season.RULE,
    water_test.RULE,
    samples_owed.RULE,
    water_figures.RULE,
    papers_owed.RULE,
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


def judge(hole: Hole, settings: Settings, rules: Iterable[Rule] = RULES) -> list[Finding]:
    """All that is wrong, due or not known about one well, worst first, whenever it holds from.

    By some rules alone, what those say: no rule asks what another one found.
    """
    return sorted(_findings(hole, settings, rules), key=lambda f: (*f.rank, f.rule, f.occurrence))


def checks(hole: Hole, settings: Settings) -> list[Check]:
    """All that is held against a limit in a string: what passes, what fails, what cannot be said.

    A well that is sealed for good, or not drilled yet, has no string to be judged.
    """
    return [check for _, check in _checks(hole, settings)]


def checks_of_a_plan(hole: Hole, settings: Settings) -> list[Check]:
    """The checks of a string that does not hang yet (`Rule.of_a_plan`)."""
    return [
        check
        for rule, check in _checks(hole, settings)
        if rule.of_a_plan is OfPlan.ALL
        or (rule.of_a_plan is OfPlan.KNOWN_ONLY and check.verdict is not Verdict.CANNOT_SAY)
    ]


def checks_by(name: str, hole: Hole, settings: Settings) -> Iterator[Check]:
    """The checks of one rule; none of a rule that has none."""
    return (check for rule, check in _checks(hole, settings) if rule.name == name)


def _checks(hole: Hole, settings: Settings) -> Iterator[tuple[Rule, Check]]:
    if hole.status is WellStatus.SEALED or hole.not_yet_drilled:
        return
    hangs = hole.opened_up()
    for rule in RULES:
        if rule.checks is not None:
            for check in rule.checks(hangs, settings.numbers(rule)):
                yield rule, check


def _findings(hole: Hole, settings: Settings, rules: Iterable[Rule]) -> Iterator[Finding]:
    if hole.role is not Role.OURS or hole.not_yet_drilled:
        return
    if not hole.owes:
        for rule in rules:
            if rule.when_sealed is not None:
                yield from rule.when_sealed(hole, settings.numbers(rule))
        return
    # What is in store for the winter will hang there again: a pump past its years is best seen then.
    hangs = hole.opened_up()
    for rule in rules:
        yield from rule.judge(hangs, settings.numbers(rule))
