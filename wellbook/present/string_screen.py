"""What `check` and `plan` say of a string, on a screen of at most 100 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.text import Text

from wellbook.present.lines import Line
from wellbook.present.load_lines import weight_text
from wellbook.present.materials_to_load import loading_line
from wellbook.present.screen import hanging
from wellbook.present.string_report import Beside, StringReport
from wellbook.present.tables import table
from wellbook.present.text import clean, wrap
from wellbook.quantities import UNITS
from wellbook.rules.check import Check
from wellbook.rules.duty import Duty
from wellbook.rules.hoist import Load
from wellbook.rules.pressures import against, pumped_against
from wellbook.terms import Kind, Verdict

_COLOURS = {Verdict.FAIL: "bold red", Verdict.CANNOT_SAY: "yellow", Verdict.PASS: "green"}
_WORDS = {Verdict.FAIL: "FAILS", Verdict.CANNOT_SAY: "CANNOT SAY", Verdict.PASS: "passes"}
_WORD = 12
_INDENT = 10
_CITED = 24
"""Room for the name of a source at the end of a row."""
_TAKEN = " *"
_PASSES = ("passes", "is", "limit", "to spare", "rests on")
_IN_FULL = (
    "common practice: no published source. What a source says: wellbook rules explain, or --json."
)


def render_report(report: StringReport, width: int) -> list[Text]:
    """The whole answer as lines."""
    lines = [
        *wrap(Text(clean(report.title), style="bold"), width),
        Text(""),
        Text(report.heading, "bold"),
        *_plain(report.string, width),
        Text(""),
        *_verdict(report, width),
        Text(""),
        *_checks(report.checks, width),
        *(row for rule, why in report.silenced for row in _quiet(rule, why, width)),
        *_section("WHAT THE PUMP GIVES", _duties(report, width)),
        *_section("BESIDE WHAT HANGS THERE", _beside(report.beside, width)),
        *_section("TO LOAD", _plain([loading_line(report.hole, i) for i in report.to_load], width)),
        *_section("AFTER THE JOB", _comes_out(report.comes_out, width)),
        *_section("ON THE HOOK", wrap(Text(clean(_weight(report.weight))), width)),
        *wrap(Text(" · ".join(report.cautions), style="dim"), width),
        *(wrap(Text(_IN_FULL, style="dim"), width) if report.checks else []),
    ]
    for line in lines:
        line.rstrip()
    return lines


def _section(heading: str, lines: Sequence[Text]) -> list[Text]:
    return [Text(""), Text(heading, style="bold"), *lines] if lines else []


def _plain(lines: Sequence[Line], width: int) -> list[Text]:
    return [
        row for line in lines for row in hanging(line.label, Text(clean(line.text)), width, _INDENT)
    ]


def _verdict(report: StringReport, width: int) -> list[Text]:
    passed = sum(c.verdict is Verdict.PASS for c in report.checks)
    failed = sum(c.decides for c in report.checks)
    unsaid = sum(c.verdict is Verdict.CANNOT_SAY for c in report.checks)
    said = {
        Verdict.FAIL: "IT FAILS",
        Verdict.CANNOT_SAY: "NOTHING FAILS, BUT NOT ALL CAN BE SAID",
        Verdict.PASS: "IT PASSES",
    }[report.verdict]
    if report.no_pump and report.verdict is not Verdict.FAIL:
        said = report.no_pump
    if not report.checks:
        return [Text("nothing is known that could be held against a limit")]
    counts = f"{failed} fail, {report.watched} to watch, {unsaid} cannot be said, {passed} pass"
    text = Text(f"{said}: ", style=_COLOURS[report.verdict])
    return wrap(text.append(counts, style="not bold"), width)


def _checks(checks: Sequence[Check], width: int) -> list[Text]:
    """What does not pass, in sentences; what passes, by its numbers in a row."""
    lacking = [c for c in checks if c.lacks_alone]
    in_rows = [c for c in checks if c.verdict is Verdict.PASS and c.margin is not None]
    lines: list[Text] = []
    for verdict in (Verdict.FAIL, Verdict.CANNOT_SAY, Verdict.PASS):
        for check in checks:
            if check.verdict is verdict and check not in (*lacking, *in_rows):
                lines += _sentence(check, width)
        if verdict is Verdict.CANNOT_SAY:
            lines += _lacking(lacking, width)
    return [*lines, *_rows(in_rows, width)] if in_rows else lines


def _lacking(checks: Sequence[Check], width: int) -> Iterator[Text]:
    """What would have to be found out, and which checks wait for it."""
    waiting: dict[tuple[str, ...], list[str]] = {}
    for check in checks:
        waiting.setdefault(check.missing, []).append(check.aspect)
    for missing, aspects in waiting.items():
        said = f"{', '.join(aspects)}: missing {', '.join(missing)}"
        yield from _said(Verdict.CANNOT_SAY, said, width)


def _rows(checks: Sequence[Check], width: int) -> list[Text]:
    """One line each; sentences where the screen is too narrow for all columns."""
    cells = [[c.aspect + (_TAKEN if c.taken else ""), *_figures(c), c.cited] for c in checks]
    numbers = [max(map(len, column)) + 2 for column in zip(*cells, strict=True)][:-1]
    if sum(numbers) + _CITED > width:
        return [row for check in checks for row in _sentence(check, width)]
    return [*table(_PASSES, cells, width), *_taken(checks, width)]


def _taken(checks: Sequence[Check], width: int) -> list[Text]:
    """What of the marked rows nobody wrote down."""
    words = list(dict.fromkeys(word for check in checks for word in check.taken))
    said = f"{_TAKEN.strip()} nobody wrote it down, taken: {', '.join(words)}"
    return wrap(Text(said), width) if words else []


def _sentence(check: Check, width: int) -> Iterator[Text]:
    says = check.says
    if check.verdict is Verdict.PASS and check.margin is not None:
        says = ", ".join(_figures(check)) + " to spare"
    elif check.verdict is Verdict.FAIL and check.margin is not None:
        says += f"; {margin_words(check)}"
    # What is to be done about a failure is in the list of due work; of this no list tells.
    act = f" → {check.finding.action}" if check.watched and check.finding is not None else ""
    said = f"{check.aspect}: {says} [{check.cited}]{act}"
    yield from _said(check.verdict, said, width, watched=check.watched)


def _said(verdict: Verdict, said: str, width: int, *, watched: bool = False) -> Iterator[Text]:
    word, colour = ("watch", "cyan") if watched else (_WORDS[verdict], _COLOURS[verdict])
    rows = wrap(Text(clean(said)), width - _WORD)
    yield Text(f"{word:<{_WORD}}", style=colour) + rows[0]
    yield from (Text(" " * _WORD) + row for row in rows[1:])


def _comes_out(kinds: Sequence[Kind], width: int) -> list[Text]:
    if not kinds:
        return []
    tables = ", ".join(f"[pulled.{kind.value}]" for kind in kinds)
    return wrap(Text(f"the sheet says too what came out for it: {tables}"), width)


def _quiet(rule: str, why: str, width: int) -> list[Text]:
    return hanging("quiet", Text(clean(f"{rule}: silenced here, {why}"), "dim"), width, _WORD)


def _figures(check: Check) -> tuple[str, str, str]:
    """The number, its limit and what is to spare."""
    assert check.value is not None and check.limit is not None
    return (
        f"{number(check.value)}{_unit(check)}",
        _limit(check, check.limit),
        f"{number(abs(check.margin or 0.0))}{_unit(check)}",
    )


def _limit(check: Check, limit: float) -> str:
    return f"{'min.' if check.at_least else 'max.'} {number(limit)}{_unit(check)}"


def margin_words(check: Check) -> str:
    """How far the number is from its limit, on which side; empty where there is no number."""
    if check.margin is None:
        return ""
    over, under = ("to spare", "short") if check.at_least else ("to spare", "too much")
    return f"{number(abs(check.margin))}{_unit(check)} {over if check.margin >= 0 else under}"


def _unit(check: Check) -> str:
    return UNITS[check.unit].symbol if check.unit in UNITS else f" {check.unit}".rstrip()


def number(value: float) -> str:
    """A worked-out figure in as many digits as anybody reads.

    >>> number(216.94), number(0.0234), number(12.0)
    ('217', '0.023', '12')
    """
    digits = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2 if abs(value) >= 1 else 3
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _duties(report: StringReport, width: int) -> list[Text]:
    """What it gives at each level, and what the well itself does: the less of the two lasts."""
    duties = report.duties
    said = [f"{duty.where}, {duty.level_ft:g} ft: {flow_words(duty)}" for duty in duties]
    if said and report.well_gives:
        said.append(f"the well itself gives {report.well_gives}: more than that draws it down")
    rows = [row for line in said for row in wrap(Text(clean(line)), width)]
    if any(d.estimated for d in duties):
        rows += wrap(
            Text("estimated from horsepower and rated flow; a curve says more", "dim"), width
        )
    return rows


def flow_words(duty: Duty) -> str:
    """The flow at a level, in words."""
    if duty.high_gpm == 0:
        top = against(duty.cut_out_psi)
        return f"does not reach {top}, and runs on" if duty.lifts else "no water at all: it stalls"
    unsaid = f", {duty.unsaid}" if duty.unsaid else ""
    usual = "" if duty.cut_out_known else " (the usual: not on record)"
    return f"{_gives(duty, pumped_against(duty.cut_out_psi) + usual)}{unsaid}"


def _gives(duty: Duty, into: str) -> str:
    low = number(duty.low_gpm)
    if duty.high_gpm is None:
        end = "the estimate goes no further" if duty.estimated else "its curve ends there"
        return f"{low} gpm or more {into} ({end})"
    high = number(duty.high_gpm)
    if duty.begins_later:
        return f"less than {high} gpm {into} (its curve begins there); whether any is not known"
    if low == high:
        return f"{high} gpm {into}"
    return f"{low} to {high} gpm {into}"


def _beside(rows: Sequence[Beside], width: int) -> list[Text]:
    if not rows:
        return []
    cells = [[row.aspect, _side(row.now), _side(row.planned)] for row in rows]
    return table(("", "now", "as planned"), cells, width)


def _side(check: Check | None) -> str:
    if check is None:
        return "-"
    # Of two strings only what fails is to leap to the eye.
    word = _WORDS[check.verdict].lower() if not check.decides else _WORDS[check.verdict]
    word = "watch" if check.watched else word
    if check.value is None or check.limit is None:
        return word
    return f"{word} {number(check.value)}, {_limit(check, check.limit)}"


def _weight(weight: Load) -> str:
    if weight.feet is None:
        return "nothing hangs, or not even its length is known"
    said = f"{weight.feet:g} ft of string: {weight_text(weight)}"
    if weight.weight_lb is None:
        return said
    return f"{said}; hoist, line and rigging for more than that"
