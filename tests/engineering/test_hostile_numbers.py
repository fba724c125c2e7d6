"""No function of the package answers a number that cannot be with anything but a ValueError."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import math
import pkgutil
import types
import typing
from collections.abc import Callable, Iterable, Iterator, Sequence
from enum import Enum
from typing import Any, get_args, get_origin, get_type_hints

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wellbook import engineering

# Numbers that a slip of the pen, a spreadsheet or another program hands over.
HOSTILE = (
    *(0, -1, -0.0, 5e-324, 1e-300, 1e-12, 1e-6, 1e12, 1e154, 1e308, -1e308, 10**400),
    *(math.nan, math.inf, -math.inf, None, "abc", True),
)
ORDINARY = (0.2, 0.5, 1, 1.5, 2, 3, 5, 10, 12, 40, 60, 100, 230, 400)
# These are handed numbers that were checked, and are tried by the functions that use them.
HELPERS = ("_", "solving", "tables", "straight_line")
WORDS = ("pe4710", "pvc", "galvanized_steel", "SIDR 9", "sch 40", "DR 11", "1-1/4", "new", "x", "")


def functions() -> Iterator[Any]:
    for module in pkgutil.iter_modules(engineering.__path__):
        if module.name.startswith(HELPERS):
            continue
        made = importlib.import_module(f"wellbook.engineering.{module.name}")
        for name, thing in vars(made).items():
            own = getattr(thing, "__module__", "") == made.__name__ and not name.startswith("_")
            if own and callable(thing) and not _words(thing):
                yield pytest.param(thing, id=f"{module.name}.{name}")


def _words(kind: Any) -> bool:
    return inspect.isclass(kind) and issubclass(kind, Enum)


ANY_NUMBER = st.one_of(
    st.sampled_from(ORDINARY), st.sampled_from(ORDINARY), st.sampled_from(HOSTILE)
)


def argument(draw: Callable[[Any], Any], kind: Any, number: Any = ANY_NUMBER) -> Any:
    """A value of a kind, its numbers ordinary or hostile."""
    if isinstance(kind, types.UnionType) or get_origin(kind) is typing.Union:
        return argument(draw, draw(st.sampled_from(get_args(kind))), number)
    if get_origin(kind) in (Sequence, Iterable):
        return [argument(draw, get_args(kind)[0], number) for _ in range(draw(st.integers(0, 6)))]
    if get_origin(kind) is tuple and get_args(kind)[-1:] == (Ellipsis,):
        return tuple(
            argument(draw, get_args(kind)[0], number) for _ in range(draw(st.integers(0, 6)))
        )
    if get_origin(kind) is tuple:
        return tuple(argument(draw, one, number) for one in get_args(kind))
    if kind in (int, float):
        return draw(number)
    if kind is bool:
        return draw(st.booleans())
    if kind is str:
        return draw(st.sampled_from(WORDS))
    if kind is types.NoneType:
        return None
    if _words(kind):
        return draw(st.sampled_from(list(kind)))
    if inspect.isclass(kind):
        # A record that checks nothing is what functions here made.
        made_here = dataclasses.is_dataclass(kind) and not hasattr(kind, "__post_init__")
        return kind(**arguments(draw, kind, st.sampled_from(ORDINARY) if made_here else number))
    raise AssertionError(f"no value is known here for {kind}")


def arguments(draw: Callable[[Any], Any], thing: Any, number: Any = ANY_NUMBER) -> dict[str, Any]:
    hints = get_type_hints(thing.__init__ if dataclasses.is_dataclass(thing) else thing)
    names = [n for n in inspect.signature(thing).parameters if n in hints]
    return {name: argument(draw, hints[name], number) for name in names}


def numbers_in(found: Any) -> Iterator[float]:
    if isinstance(found, float):
        yield found
    elif isinstance(found, tuple | list):
        for one in found:
            yield from numbers_in(one)
    elif dataclasses.is_dataclass(found):
        for one in dataclasses.fields(found):
            yield from numbers_in(getattr(found, one.name))


@pytest.mark.parametrize("thing", list(functions()))
@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_a_number_that_cannot_be_is_a_value_error(thing: Any, data: st.DataObject) -> None:
    try:
        found = thing(**arguments(data.draw, thing))
    except ValueError as error:
        assert str(error).count("\n") == 0
        assert len(str(error)) < 400
        return
    if not inspect.isclass(thing):
        assert all(math.isfinite(n) for n in numbers_in(found)), found
