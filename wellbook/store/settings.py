"""The shop's own numbers of the rules: read, and one changed after the other."""

from __future__ import annotations

import json

from sqlalchemy import Connection, select

from wellbook.errors import WellbookError
from wellbook.rules import catalogue
from wellbook.rules.finding import Settings
from wellbook.store import tables as t


def settings(connection: Connection) -> Settings:
    """What the shop has changed of the rules' numbers."""
    rows = connection.execute(select(t.setting.c.name, t.setting.c.value))
    return Settings({name: json.loads(value) for name, value in rows})


def with_setting(current: Settings, name: str, value: str) -> Settings:
    """The settings with one number changed; "default" takes the shop's own away.

    Raises
    ------
    WellbookError
        If there is no such number, or the value will not do.
    """
    rule_name, _, threshold_name = name.partition(".")
    rule = catalogue.the_rule(rule_name)
    known = {x.name: x for x in rule.thresholds}
    if threshold_name not in known:
        raise WellbookError(
            f"{rule.name} has no '{threshold_name}'; it has: {', '.join(known)}", where=name
        )
    changed = dict(current.changed)
    key = f"{rule.name}.{threshold_name}"
    changed.pop(key, None)
    try:
        if value.strip().lower() != "default":
            changed[key] = known[threshold_name].read(value.strip())
        proposed = Settings(changed)
        rule.check_order(threshold_name, proposed.numbers(rule))
    except ValueError as error:
        raise WellbookError(str(error), where=name) from None
    return proposed
