"""A rule that says otherwise than before bears a new version, so that every ledger is renewed by it.

`judged_by.json` keeps what each rule says of the wells of the invented shop, and a sum over each module
that a rule is made of. Regression only: it says that something changed, not what is right.
WELLBOOK_RENEW=1 writes it anew, but never takes other findings under the same version.
"""

from __future__ import annotations

import ast
import hashlib
import json
import os
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from wellbook import versions
from wellbook.rules import catalogue
from wellbook.rules.finding import Finding
from wellbook.store.book import open_book
from wellbook.store.holes import load_holes
from wellbook.store.judging import owing_wells
from wellbook.store.rows import plain
from wellbook.store.settings import settings

ROOT = Path(__file__).parents[2]
KEPT = Path(__file__).with_name("judged_by.json")
SHARED = "wellbook.rules.catalogue"
"""What goes through the rules is a part of each; that it imports all of them is not followed."""


def test_each_rule_has_a_version() -> None:
    assert list(versions.OF_RULE) == [rule.name for rule in catalogue.RULES]


def test_a_rule_that_says_otherwise_bears_a_new_version(loaded_shop: Path) -> None:
    said, kept = _said(loaded_shop), _kept()["rules"]
    same = [n for n, now in said.items() if _version(now) == _version(kept.get(n, {}))]
    changed = [n for n in same if said[n]["findings"] != kept[n]["findings"]]
    assert not changed, f"raise in versions.OF_RULE, since they say otherwise: {changed}"
    _renew(rules=said)
    assert said == kept, "run: WELLBOOK_RENEW=1 pytest tests/rules/test_versions.py"


def test_what_a_rule_is_made_of_has_not_changed_unnoticed(loaded_shop: Path) -> None:
    now, kept = _modules(), _kept()["modules"]
    changed = {name for name in now.keys() | kept.keys() if now.get(name) != kept.get(name)}
    touched = [name for name, parts in _made_of().items() if changed & parts]
    _renew(modules=now)
    assert not changed, (
        f"{sorted(changed)} changed, and with them perhaps what these say: {touched}. Raise each that"
        " says otherwise of any well in versions.OF_RULE (or RULES, where it is all of them), then run:"
        " WELLBOOK_RENEW=1 pytest tests/rules/test_versions.py"
    )


def test_what_rules_share_is_a_part_of_each() -> None:
    made_of = _made_of()
    sharing = {name for name, parts in made_of.items() if "wellbook.rules.lift" in parts}
    assert {"lift-limit", "useless-depth"} <= sharing < made_of.keys()
    assert all("wellbook.hole.hole" in parts for parts in made_of.values())


# -- what is kept ------------------------------------------------------------------------------


def _kept() -> dict[str, Any]:
    return dict(json.loads(KEPT.read_text("utf-8")))


def _renew(**anew: Any) -> None:
    if os.environ.get("WELLBOOK_RENEW"):
        KEPT.write_text(json.dumps(_kept() | anew, indent=1, sort_keys=True) + "\n", "utf-8")


def _version(kept: dict[str, Any]) -> tuple[Any, Any]:
    return kept.get("all"), kept.get("own")


def _said(place: Path) -> dict[str, dict[str, Any]]:
    """What each rule says of the invented shop's wells, as a sum, and by which version."""
    said: dict[str, list[Any]] = {rule.name: [] for rule in catalogue.RULES}
    book = open_book(place)
    with book.reading() as connection:
        shop = settings(connection)
        for hole in load_holes(connection, owing_wells(connection)):
            for finding in catalogue.judge(hole, shop):
                said[finding.rule].append([hole.tag, *_words(finding)])
    book.close()
    return {
        name: {"all": versions.RULES, "own": versions.OF_RULE[name], "findings": _sum(found)}
        for name, found in said.items()
    }


def _words(f: Finding) -> Iterator[Any]:
    """All of it but the identities, which are new in each book."""
    yield from (f.subject, f.may_from, f.surely_from, f.until, f.severity, f.occasion)
    yield from (f.reason, f.action, f.source, f.to_customer, sorted(f.numbers.items()))


def _sum(what: Any) -> str:
    return hashlib.sha256(json.dumps(what, default=plain).encode()).hexdigest()[:12]


# -- what a rule is made of --------------------------------------------------------------------


@cache
def _made_of() -> dict[str, set[str]]:
    """Rule -> all modules of the program that its own module imports, and those that they import."""
    found: dict[str, set[str]] = {}
    for rule in catalogue.RULES:
        todo = [_module_of(rule.name)]
        parts: set[str] = {SHARED}
        while todo:
            name = todo.pop()
            if name not in parts:
                parts.add(name)
                todo += _imports(name)
        found[rule.name] = parts
    return found


def _module_of(rule: str) -> str:
    return f"wellbook.rules.{rule.replace('-', '_')}"


@cache
def _imports(module: str) -> tuple[str, ...]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(_path(module).read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{a.name}" for a in node.names)}
    own = sorted(n for n in names if n.startswith("wellbook."))
    return tuple(n for n in own if _path(n).is_file())


def _path(module: str) -> Path:
    return ROOT.joinpath(*module.split(".")).with_suffix(".py")


@cache
def _modules() -> dict[str, str]:
    """A sum over what each of these modules does: its lines without comments and docstrings."""
    everything = set[str]().union(*_made_of().values())
    return {name: _sum(list(_lines(_path(name)))) for name in sorted(everything)}


def _lines(path: Path) -> Iterator[str]:
    text = path.read_text("utf-8")
    said: set[int] = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            said |= set(range(node.lineno, (node.end_lineno or node.lineno) + 1))
    for number, line in enumerate(text.splitlines(), start=1):
        if number not in said and line.strip() and not line.strip().startswith("#"):
            yield line.rstrip()
