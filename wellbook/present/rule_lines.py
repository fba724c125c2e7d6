"""A rule explained: why it is there, its numbers as the shop has them, their limits and sources."""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.present.envelope import Shape
from wellbook.rules.finding import Rule, Settings, Threshold


def rule_title(rule: Rule, shop: Settings) -> str:
    """What a rule looks for, and by which numbers; a star marks one that the shop has changed."""
    numbers = ", ".join(f"{x.name} {_value(rule, shop, x)}" for x in rule.thresholds)
    return ": ".join(x for x in (rule.title, numbers) if x)


def rule_lines(rule: Rule, shop: Settings) -> Iterator[str]:
    """A rule in full, a line for each thing said; the terminal may wrap them."""
    yield f"{rule.name}: {rule.title}"
    yield ""
    yield from _paragraphs(rule.why)
    for x in rule.thresholds:
        yield f"{rule.name}.{x.name} = {_value(rule, shop, x)}"
        yield f"    {x.meaning}"
        yield f"    {limits(rule, x)}"
        yield f"    source: {x.source}"
    if rule.thresholds:
        yield ""
        yield f"Change one: wellbook rules set {rule.name}.NUMBER VALUE"


def limits(rule: Rule, x: Threshold) -> str:
    """What a number can be by itself, and beside the others."""
    beside = [f"{how} {rule.name}.{other}" for how, other in rule.order_of(x.name)]
    return ", ".join([x.allowed, *beside])


def _paragraphs(text: str) -> Iterator[str]:
    for part in text.strip().split("\n\n"):
        yield " ".join(part.split())
        yield ""


def _value(rule: Rule, shop: Settings, x: Threshold) -> str:
    changed = shop.changed.get(f"{rule.name}.{x.name}")
    value = x.default if changed is None else changed
    shown = f"{value:g}" if isinstance(value, (int, float)) else str(value)
    return shown if changed is None else f"{shown}* (default {x.default})"


def rule_json(rule: Rule, shop: Settings) -> Shape:
    """A rule for other programs: each number with what it can be and what it must stand under."""
    return {
        "name": rule.name,
        "title": rule.title,
        "why": rule.why.strip(),
        "numbers": [_number_json(rule, shop, x) for x in rule.thresholds],
    }


def _number_json(rule: Rule, shop: Settings, x: Threshold) -> Shape:
    order = [(how, f"{rule.name}.{other}") for how, other in rule.order_of(x.name)]
    return {
        "name": f"{rule.name}.{x.name}",
        "value": shop.changed.get(f"{rule.name}.{x.name}", x.default),
        "default": x.default,
        "least": None if x.choices else x.least,
        "most": None if x.choices else x.most,
        "whole": x.whole,
        "choices": list(x.choices),
        "not_more_than": [name for how, name in order if how == "at most"],
        "not_less_than": [name for how, name in order if how == "at least"],
        "meaning": x.meaning,
        "source": x.source,
    }
