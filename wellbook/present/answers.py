"""What a calculator answers, for people."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from rich.cells import cell_len
from rich.text import Text

from wellbook.calculators.calculator import Answer, Calculator
from wellbook.calculators.units import show_number, split_name
from wellbook.present.screen import hanging
from wellbook.present.text import clean, one_line, wrap

_LONGEST = 60
# "stalls_low_ft" and "low_gpm" are ends of "stalls_ft" and "gpm".
_END = re.compile(r"(^|_)(?:low|high)_")


def answer_lines(
    calculator: Calculator, inputs: Mapping[str, Any], answer: Answer, width: int
) -> Iterator[Text]:
    """What was given and taken, each result, what was assumed, the source and the cautions.

    Parameters
    ----------
    inputs
        Those of the answer, and what they were found by (a pump).
    width
        Columns of the screen.
    """
    given = [n for n in inputs if n in answer.given or n not in answer.inputs]
    taken = [n for n in inputs if n not in given]
    yield from wrap(Text(clean(calculator.title), style="bold"), width)
    for label, names in (("given", given), ("taken", taken)):
        if names:
            said = " · ".join(_said(n, inputs[n]) for n in names)
            yield from hanging(label, Text(clean(said)), width)
    yield Text("")
    yield from _results(answer.results, width)
    yield Text("")
    beside = (
        ("note", answer.notes),
        ("source", (calculator.source,)),
        ("mind", calculator.cautions),
    )
    for label, texts in beside:
        for at, text in enumerate(texts):
            yield from hanging("" if at else label, Text(clean(text)), width)


def _results(results: Mapping[str, Any], width: int) -> Iterator[Text]:
    """Each result under the other, its words before it; one called by its unit alone is bare.

    The two ends of an estimate stand behind what lies between them; what cannot be said is last.
    """
    own = [name for name in results if _base(name, results) == name]
    rows = [(_words(n), _with_ends(n, results)) for n in own if results[n] is not None]
    unsaid = [n.replace("_", " ") for n in own if results[n] is None]
    if unsaid:
        rows.append(("cannot say", ", ".join(unsaid)))
    room = max(cell_len(words) for words, _ in rows) + 5
    for words, shown in rows:
        head = Text(f"  {words}")
        head.pad_right(room - head.cell_len)
        first, *more = wrap(Text(shown, style="bold"), max(width - room, 12))
        yield head + first
        yield from (Text(" " * room) + row for row in more)


def _base(name: str, results: Mapping[str, Any]) -> str:
    """Of which result this is an end, where that one is there; else the name itself."""
    base = _END.sub(r"\1", name)
    return base if base in results else name


def _with_ends(name: str, results: Mapping[str, Any]) -> str:
    shown = _shown(name, results[name], figures=4)
    values = [v for n, v in results.items() if n != name and _base(n, results) == name]
    if len(values) != 2 or None in values:
        return shown
    low, high = (show_number(v, split_name(name)[1], bare=True) for v in sorted(values))
    return f"{shown} ({low} to {high})"


def _said(name: str, value: Any) -> str:
    """An input with its words; what is called by its unit alone needs none: 3/4 hp."""
    words, ending = split_name(name)
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if number and words == ending:
        return show_number(value, ending, 6)
    return f"{_words(name)} {one_line(_shown(name, value, figures=6), _LONGEST)}"


def _words(name: str) -> str:
    return split_name(name)[0].replace("_", " ")


def _shown(name: str, value: Any, *, figures: int) -> str:
    words, ending = split_name(name)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return show_number(value, ending, figures, bare=words == ending)
    if isinstance(value, tuple | list):
        return ", ".join(_shown(name, one, figures=figures) for one in value)
    return str(value).replace("_", " ")
