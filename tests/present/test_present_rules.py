"""A rule explained says what each of its numbers can be, and beside which others it must stand."""

from __future__ import annotations

import pytest

from wellbook.present.rule_lines import rule_json, rule_lines, rule_title
from wellbook.rules.catalogue import RULES, the_rule
from wellbook.rules.finding import Rule, Settings


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_number_is_shown_with_its_limits_and_its_order(rule: Rule) -> None:
    text = "\n".join(rule_lines(rule, Settings()))
    shape = rule_json(rule, Settings())
    for x, number in zip(rule.thresholds, shape["numbers"], strict=True):
        assert f"{rule.name}.{x.name} = " in text
        assert x.source in text
        assert x.read(str(number["value"])) == number["default"]
        if x.choices:
            assert number["choices"] == list(x.choices)
            assert (number["least"], number["most"]) == (None, None)
            continue
        assert f"number from {x.least:g} to {x.most:g}" in text
        for bound in (number["least"], number["most"]):
            assert x.read(str(bound)) == bound
    for first, second in rule.in_order:
        by_name = {n["name"]: n for n in shape["numbers"]}
        low, high = f"{rule.name}.{first}", f"{rule.name}.{second}"
        assert f"at most {high}" in text
        assert f"at least {low}" in text
        assert high in by_name[low]["not_more_than"]
        assert low in by_name[high]["not_less_than"]


def test_a_number_that_the_shop_changed_bears_a_star_and_its_default() -> None:
    shop = Settings({"check-up.months": 18.0})
    title = rule_title(the_rule("check-up"), shop)
    assert title.startswith("check-up due: months 18* (default 12), quiet_from_month 0")
    assert "check-up.months = 18* (default 12)" in list(rule_lines(the_rule("check-up"), shop))
    number, *_ = rule_json(the_rule("check-up"), shop)["numbers"]
    assert (number["value"], number["default"]) == (18, 12)
