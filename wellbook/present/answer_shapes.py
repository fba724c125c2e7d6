"""What a calculator answers, for programs: as JSON, and as cells of a CSV file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from wellbook.calculators.calculator import Answer, Calculator
from wellbook.exchange.cases import Case
from wellbook.present.envelope import Shape, envelope


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
    return [
        *case.row.cells,
        *(_cell(found.get(name)) for name in results),
        " | ".join(notes),
        case.error,
    ]


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
