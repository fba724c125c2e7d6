"""The small language of a template: fields, `if`, `for`, and a handful of filters. Nothing else.

A template is a shop's own file, and a slip in it must not stop a morning's run, fill a disk or
reach beyond the facts. So a template is read into a tree first, and every part of the tree is held
against a list of what is allowed and against the fields that there are, also in branches that no
sample comes through. What remains cannot call anything or build a text out of itself; loops are
counted, and the whole is bounded.
"""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from difflib import get_close_matches
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

from wellbook.errors import WellbookError
from wellbook.reminders.letter_facts import Facts
from wellbook.reminders.letter_filters import FILTERS

if TYPE_CHECKING:
    from jinja2 import Template, nodes
    from jinja2.sandbox import ImmutableSandboxedEnvironment

MOST_SIGNS = 20_000
"""Of a template, and of what comes out: some ten pages."""
MOST_ROUNDS = 10_000
"""Of all loops of one message together."""
LOOP = {"first": bool, "last": bool, "index": int, "length": int}


def rendered(text: str, facts: Facts, where: str) -> str:
    """A template's text with the facts in it.

    Parameters
    ----------
    text
        The template.
    facts
        What it speaks of, already on single lines.
    where
        How a message names the template.

    Raises
    ------
    WellbookError
        Where the template is wrong, with its line.
    """
    template = _compiled(text, where)
    names = {name: getattr(facts, name) for name in types_within(Facts)}
    made: list[str] = []
    signs = 0
    try:
        for piece in template.generate(names | {"_rounds": [0]}):
            made.append(piece)
            signs += len(piece)
            if signs > MOST_SIGNS:
                raise WellbookError(f"more than {MOST_SIGNS} signs come out of it", where=where)
    except WellbookError as error:
        if error.where:
            raise
        raise WellbookError(error.message, where=f"{where}: {_line_in(error)}") from None
    except TypeError as error:
        said = "these two cannot be compared"
        raise WellbookError(said, where=f"{where}: {_line_in(error)}") from None
    return "".join(made)


def types_within(owner: type) -> dict[str, Any]:
    """The fields and properties of a fact, each with its type."""
    hints = typing.get_type_hints(owner)
    found = {one.name: hints[one.name] for one in fields(owner)}
    for name, value in vars(owner).items():
        if isinstance(value, property):
            found[name] = typing.get_type_hints(value.fget)["return"]
    return found


@lru_cache(maxsize=32)
def _compiled(text: str, where: str) -> Template:
    from jinja2 import TemplateSyntaxError

    if len(text) > MOST_SIGNS:
        raise WellbookError(f"a template has at most {MOST_SIGNS} signs", where=where)
    environment = _environment()
    try:
        lines = text.removeprefix("\ufeff").splitlines()
        tree = environment.parse("\n".join(map(_keeps_its_end, lines)))
        _check(tree, _Scope(where, types_within(Facts)))
        _count_rounds(tree)
        return environment.from_string(tree)
    except TemplateSyntaxError as error:
        said = (error.message or "this cannot be read").rstrip(".")
        raise WellbookError(said, where=f"{where}: line {error.lineno}") from None
    except (RecursionError, MemoryError, SyntaxError):
        # Python's own parser gives up on what is nested a hundred times.
        raise WellbookError("too much is nested within each other", where=where) from None
    except ValueError:
        said = "a number of thousands of digits, or a sign that no text can have"
        raise WellbookError(f"{said}, cannot be read", where=where) from None


@cache
def _environment() -> ImmutableSandboxedEnvironment:
    from jinja2 import StrictUndefined, pass_context
    from jinja2.sandbox import ImmutableSandboxedEnvironment

    environment = ImmutableSandboxedEnvironment(
        undefined=StrictUndefined,
        autoescape=False,  # what comes out is plain text
        trim_blocks=True,
        lstrip_blocks=True,
    )

    @pass_context
    def counted(context: Any, items: Iterable[Any]) -> Iterator[Any]:
        rounds = context["_rounds"]
        for item in items:
            rounds[0] += 1
            if rounds[0] > MOST_ROUNDS:
                raise WellbookError(f"its loops make more than {MOST_ROUNDS} rounds")
            yield item

    environment.filters = {name: one.run for name, one in FILTERS.items()} | {"_counted": counted}
    environment.tests = {}
    environment.globals = {}
    return environment


def _keeps_its_end(line: str) -> str:
    """A line that ends with a tag is a line still; one that is nothing but a tag vanishes."""
    whole = re.fullmatch(r"\s*(\{%[^%]*%\}|\{#[^#]*#\})\s*", line)
    end = re.search(r"(?<![-+])(%\}|#\})$", line)
    return line if whole or not end else f"{line[: end.start()]}+{end[0]}"


class _Scope(NamedTuple):
    """What can be named at one place of a template."""

    where: str
    names: Mapping[str, Any]

    def at(self, node: nodes.Node) -> str:
        return f"{self.where}: line {node.lineno}"

    def plus(self, **names: Any) -> _Scope:
        return self._replace(names={**self.names, **names})


def _check(node: nodes.Node, scope: _Scope) -> None:
    """Every statement and expression below a node."""
    from jinja2 import nodes as n

    if isinstance(node, n.For):
        _check_loop(node, scope)
    elif isinstance(node, n.Output):
        for shown in node.nodes:
            _check_shown(shown, scope)
    elif isinstance(node, n.Expr):
        _type_of(node, scope)
    elif isinstance(node, n.Template | n.If):
        for child in node.iter_child_nodes():
            _check(child, scope)
    else:
        raise WellbookError(
            "a template has fields, if and for; this is neither", where=scope.at(node)
        )


def _check_loop(node: nodes.For, scope: _Scope) -> None:
    from jinja2 import nodes as n

    items = _type_of(typing.cast("nodes.Expr", node.iter), scope)
    if (
        node.recursive
        or not isinstance(node.target, n.Name)
        or typing.get_origin(items) is not tuple
    ):
        said = "write {% for one in told %}: a loop goes through a field that has several"
        raise WellbookError(said, where=scope.at(node))
    one = {node.target.name: typing.get_args(items)[0]}
    if node.test is not None:
        _type_of(typing.cast("nodes.Expr", node.test), scope.plus(**one))
    inside = scope.plus(**one, loop=LOOP)
    for child in node.body:
        _check(child, inside)
    for child in node.else_:
        _check(child, scope)


def _check_shown(node: nodes.Expr, scope: _Scope) -> None:
    """Text and whole numbers can be put out as they are; all else needs words first."""
    kind = _type_of(node, scope)
    if is_dataclass(kind):
        said = f"name one of its fields: {', '.join(types_within(typing.cast(type, kind)))}"
        raise WellbookError(said, where=scope.at(node))
    filters = [
        name for name, one in FILTERS.items() if one.takes is (typing.get_origin(kind) or kind)
    ]
    if kind not in (str, int, float):
        said = f"write it with a filter: {', '.join(filters)}" if filters else "this is not text"
        raise WellbookError(said, where=scope.at(node))


def _type_of(node: nodes.Expr, scope: _Scope) -> Any:
    """What kind of thing an expression gives; refuses what is not of the language."""
    from jinja2 import nodes as n

    if isinstance(node, n.Name):
        return _named(node.name, scope.names, "", scope.at(node))
    if isinstance(node, n.Getattr):
        return _within(node, scope)
    if isinstance(node, n.Filter):
        return _filtered(node, scope)
    if isinstance(node, n.TemplateData | n.Const):
        return str if isinstance(node, n.TemplateData) else type(node.value)
    if not isinstance(node, n.Compare | n.Operand | n.And | n.Or | n.Not | n.Concat | n.CondExpr):
        said = "only fields, filters, and, or, not and comparisons can stand here"
        raise WellbookError(said, where=scope.at(node))
    parts = [child for child in node.iter_child_nodes() if isinstance(child, n.Expr | n.Operand)]
    kinds = [_type_of(part.expr if isinstance(part, n.Operand) else part, scope) for part in parts]
    if isinstance(node, n.Concat):
        for part in node.nodes:
            _check_shown(part, scope)
    if isinstance(node, n.CondExpr):
        return _type_of(node.expr1, scope)
    return str if isinstance(node, n.Concat) else kinds[0] if isinstance(node, n.Or) else bool


def _within(node: nodes.Getattr, scope: _Scope) -> Any:
    owner = _type_of(node.node, scope)
    within = (
        types_within(owner)
        if is_dataclass(owner) and isinstance(owner, type)
        else owner
        if owner is LOOP
        else None
    )
    if within is None:
        said = f"'{node.attr}' is asked of a thing that has no parts"
        raise WellbookError(said, where=scope.at(node))
    return _named(node.attr, within, "loop" if owner is LOOP else owner.__name__, scope.at(node))


def _filtered(node: nodes.Filter, scope: _Scope) -> Any:
    from jinja2 import nodes as n

    one = FILTERS.get(node.name)
    if one is None or node.node is None:
        said = f"there is no filter '{node.name}'; there are {', '.join(FILTERS)}"
        raise WellbookError(said, where=scope.at(node))
    takes = _type_of(node.node, scope)
    if (typing.get_origin(takes) or takes) is not one.takes:
        wanted = {date: "a day", tuple: "a field that has several", str: "a text"}[one.takes]
        raise WellbookError(f"'{node.name}' wants {wanted}", where=scope.at(node))
    most = 1 if node.name == "short" else 0
    plain = all(isinstance(a, n.Const) for a in node.args)
    if len(node.args) > most or node.kwargs or node.dyn_args or node.dyn_kwargs or not plain:
        raise WellbookError(f"'{node.name}' means: {one.means}", where=scope.at(node))
    return one.gives


def _named(name: str, names: Mapping[str, Any], owner: str, where: str) -> Any:
    if name not in names:
        dotted = {} if owner else _all_fields()
        near = get_close_matches(name, names, n=1) or get_close_matches(name, dotted, n=1)
        hint = (
            f"did you mean '{dotted.get(near[0], near[0])}'?"
            if near
            else f"there are {', '.join(names)}"
        )
        of = f" of {owner}" if owner else ""
        raise WellbookError(f"there is no field '{name}'{of}; {hint}", where=where)
    kind = names[name]
    if isinstance(kind, types.UnionType):
        return next(one for one in typing.get_args(kind) if one is not type(None))
    return kind


@cache
def _all_fields() -> dict[str, str]:
    """Every field by its last word, with what stands before it."""
    found: dict[str, str] = {}
    for name, kind in types_within(Facts).items():
        if is_dataclass(kind) and isinstance(kind, type):
            for part in types_within(kind):
                found.setdefault(part, f"{name}.{part}")
        else:
            found[name] = name
    return found


def _count_rounds(tree: nodes.Template) -> None:
    from jinja2 import nodes as n

    for loop in tree.find_all(n.For):
        counted = n.Filter(loop.iter, "_counted", [], [], None, None)
        counted.set_lineno(loop.lineno)
        counted.set_environment(_environment())
        loop.iter = counted


def _line_in(error: Exception) -> str:
    """The line of the template that an error came from: its innermost frame there."""
    trace, line = error.__traceback__, 0
    while trace is not None:
        if trace.tb_frame.f_code.co_filename == "<template>":
            line = trace.tb_lineno
        trace = trace.tb_next
    return f"line {line}"
