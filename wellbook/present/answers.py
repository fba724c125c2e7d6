"""What a calculator answers: for people, for programs, and as cells of a CSV file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from rich.cells import cell_len
from rich.text import Text

from wellbook.calculators.calculator import Answer, Calculator
from wellbook.calculators.units import show_number, split_name
from wellbook.exchange.cases import Case
from wellbook.present.json_shapes import Shape, envelope
from wellbook.present.terminal import hanging
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


def answer_json(calculator: Calculator, inputs: Mapping[str, Any], answer: Answer) -> Shape:
    """One answer for other programs; numbers as they came out."""
    return envelope(
        "wellbook.calc",
        1,
        calculator=calculator.name,
        inputs=_plain(inputs),
        results=_plain(answer.results),
        notes=list(answer.notes),
        source=calculator.source,
        cautions=list(calculator.cautions),
    )


def cases_json(calculator: Calculator, cases: Sequence[Case]) -> Shape:
    """A file of cases for other programs; a case without an answer has its error instead."""
    return envelope(
        "wellbook.calc.cases",
        1,
        calculator=calculator.name,
        cases=[_case(c) for c in cases],
        source=calculator.source,
        cautions=list(calculator.cautions),
    )


def _case(case: Case) -> Shape:
    answer = case.answer
    return {
        "line": case.row.number,
        "carried": dict(case.carried),
        "inputs": _plain({**case.given, **(answer.inputs if answer else {})}),
        "results": _plain(answer.results) if answer else {},
        "notes": list(answer.notes) if answer else [],
        "error": case.error or None,
    }


def case_cells(case: Case, results: Sequence[str]) -> list[str]:
    """The row as it was, a cell for each result, the notes (why one is empty, too), and the error."""
    found, notes = (case.answer.results, case.answer.notes) if case.answer else ({}, ())
    said = "; ".join(note.removesuffix(".") for note in notes)
    return [*case.row.cells, *(_cell(found.get(name)) for name in results), said, case.error]


def _cell(value: Any) -> str:
    """A value in twelve figures: enough to be tested, without the dust of floats."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(float(f"{value:.12g}"))
    if isinstance(value, tuple | list):
        return ", ".join(_cell(one) for one in value)
    return str(value)


def _plain(value: Any) -> Any:
    """What JSON has: a curve or a table of readings is its text."""
    if isinstance(value, Mapping):
        return {name: _plain(one) for name, one in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    return value if value is None or isinstance(value, bool | int | float) else str(value)
