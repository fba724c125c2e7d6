"""`wellbook visit --ask`: a sheet by short questions. Enter skips what is not known.

Each answer is checked at once by what checks a whole sheet, so there is one check for all ways in.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from typing import Any

from wellbook.hole.hole import Hole
from wellbook.hole.sheet import SheetError, read_sheet
from wellbook.terms import Cause, Kind, Reason

_MEASURED = (
    ("insulation_megohm", "Insulation, megohm"),
    ("running_a", "Amps, running"),
    ("supply_v", "Volts"),
    ("precharge_psi", "Tank precharge, psi"),
)
_PUMP = (
    ("hp", "  its hp"),
    ("rated_gpm", "  its rated flow, gpm"),
    ("model_year", "  its model year"),
    ("set_depth_ft", "  set at, ft"),
)
_PIPE = (
    ("material", "  its material"),
    ("nominal_in", "  its size, in"),
    ("rating_psi", "  its rating, psi"),
    ("from_ft", "  from, ft (the top is 0)"),
    ("to_ft", "  to, ft"),
)
_CABLE = (
    ("awg", "  its gauge (awg)"),
    ("conductors", "  its conductors"),
    ("to_ft", "  to, ft"),
)
_WORDS = frozenset({"material", "model_year", "nominal_in"})
"""What is kept in the words of the answer, though it may look like a number."""


class Questions:
    """A sheet's document, asked bit by bit; it holds all that was answered so far.

    Parameters
    ----------
    ask
        Gives the answer to a question, "" to skip it.
    say
        Takes a line on why an answer was not taken.
    """

    def __init__(
        self, hole: Hole, today: date, ask: Callable[[str], str], say: Callable[[str], None]
    ) -> None:
        self.hole = hole
        self.today = today
        self.day = today.isoformat()
        self.ask = ask
        self.say = say
        self.document: dict[str, Any] = {"well": hole.tag}

    def all(self) -> None:
        """Ask everything, in the order in which a visit goes."""
        self._head()
        self._measured()
        if self._yes("Did you pull the string? y/n"):
            self._string()
        if self._yes("Disinfected? y/n"):
            self.document["disinfected"] = True
        for name, question in (("left_for_next_time", "Left for next time"), ("notes", "Notes")):
            self._put(self.document, name, self._one(question, name))

    # -- one question --------------------------------------------------------------------------

    def _one(self, question: str, *path: str) -> str:
        """An answer that the check takes at its place in a sheet; "" where it was skipped."""
        while True:
            answer = self.ask(question).strip()
            wrong = self._wrong(path, answer) if answer else ""
            if not wrong:
                return answer
            self.say(wrong)

    def _wrong(self, path: tuple[str, ...], answer: str) -> str:
        inner: Any = _kept(path[-1], answer)
        for step in reversed(path):
            inner = {step: inner}
        try:
            read_sheet({"date": self.day, "reason": Reason.OTHER, **inner}, today=self.today)
        except SheetError as error:
            return "; ".join(mistake.message for mistake in error.mistakes)
        return ""

    def _yes(self, question: str) -> bool:
        return self._one(question, "disinfected").lower() in ("yes", "y", "true")

    def _fields(
        self, row: dict[str, Any], section: str, kind: Kind, asked: tuple[tuple[str, str], ...]
    ) -> None:
        for name, question in asked:
            self._put(row, name, self._one(question, section, kind.value, name))

    def _put(self, row: dict[str, Any], name: str, answer: str) -> None:
        if answer:
            row[name] = _kept(name, answer)

    def _table(self, section: str) -> dict[str, Any]:
        table: dict[str, Any] = self.document.setdefault(section, {})
        return table

    # -- the parts of a sheet ------------------------------------------------------------------

    def _head(self) -> None:
        self.document["reason"] = self._reason()
        self.day = self._one(f"Date [{self.today}]", "date") or self.day
        self.document["date"] = self.day
        crew = self._one("Crew, with commas between", "crew")
        names = [name.strip() for name in crew.split(",") if name.strip()]
        if names:
            self.document["crew"] = names

    def _reason(self) -> str:
        """The one thing that cannot be skipped."""
        while True:
            answer = self.ask("Reason (? lists them)").strip()
            if answer in ("", "?"):
                self.say("the reason is one of: " + ", ".join(r.label for r in Reason))
            elif wrong := self._wrong(("reason",), answer):
                self.say(wrong)
            else:
                return answer

    def _measured(self) -> None:
        found = self._table("measured")
        static = self._one("Static level, ft", "measured", "static_level_ft")
        pumping = self._one("Pumping level, ft", "measured", "pumping_level_ft")
        self._put(found, "static_level_ft", static)
        self._put(found, "pumping_level_ft", pumping)
        if found:
            self._measured_from(found)
        flow = self._one("Flow, gpm", "measured", "flow_gpm")
        self._put(found, "flow_gpm", flow)
        if flow and pumping:
            level = found["pumping_level_ft"]
            level = level if isinstance(level, dict) else {"value": level}
            found["pumping_level_ft"] = {**level, "at_gpm": _kept("at_gpm", flow)}
        for name, question in _MEASURED:
            self._put(found, name, self._one(question, "measured", name))
        if not found:
            del self.document["measured"]

    def _measured_from(self, levels: dict[str, Any]) -> None:
        """A level says little without the point that it was measured from."""
        question = "  measured from: ground, or casing top"
        while True:
            point = self.ask(question).strip()
            row = {"value": 1, "point": point}
            wrong = self._refused({"measured": {"water_level_ft": row}}) if point else ""
            if not wrong:
                break
            self.say(wrong)
        if point:
            for name, value in levels.items():
                levels[name] = {"value": value, "point": point}

    def _refused(self, tables: dict[str, Any]) -> str:
        try:
            read_sheet({"date": self.day, "reason": Reason.OTHER, **tables}, today=self.today)
        except SheetError as error:
            return "; ".join(mistake.message for mistake in error.mistakes)
        return ""

    def _string(self) -> None:
        self._counted("splice", "Splices counted in the cable")
        self._counted("rub", "Rubs counted on the cable")
        if self._yes("Pump replaced? y/n"):
            self._why_out(Kind.PUMP)
            row = self._table("set")[Kind.PUMP.value] = {}
            self._fields(row, "set", Kind.PUMP, _PUMP)
        elif self._yes("Well left without a pump? y/n"):
            self.document["left_without_pump"] = True
            self._why_out(Kind.PUMP)
            return
        else:
            again = (("set_depth_ft", "Set again at, ft (Enter: as before)"),)
            self._went_back(Kind.PUMP, again)
        self._sections(Kind.PIPE, "New pipe? y/n", _PIPE)
        self._sections(Kind.CABLE, "New cable? y/n", _CABLE)

    def _counted(self, what: str, question: str) -> None:
        # "splices_added" is a whole number like these counts, and has a place of its own.
        count = self._one(question, "back", "cable", "splices_added")
        if count:
            row = {"what": what, "part": "cable", "count": _kept("count", count)}
            self.document.setdefault("found", []).append(row)

    def _why_out(self, kind: Kind) -> None:
        """Why the old one came out; a well of which none is on record has no old one to pull."""
        if not self.hole.down(kind):
            return
        causes = ", ".join(c.label for c in Cause)
        asked = (("why", f"Why was the old {kind.label} pulled?"), ("cause", f"  cause: {causes}"))
        row = self._table("pulled")[kind.value] = {}
        self._fields(row, "pulled", kind, asked)

    def _went_back(self, kind: Kind, asked: tuple[tuple[str, str], ...]) -> None:
        row: dict[str, Any] = {}
        self._fields(row, "back", kind, asked)
        if row or self.hole.down(kind):
            self._table("back")[kind.value] = row

    def _sections(self, kind: Kind, question: str, asked: tuple[tuple[str, str], ...]) -> None:
        if self._yes(question):
            row: dict[str, Any] = {}
            self._table("set")[kind.value] = [row]
            self._fields(row, "set", kind, asked)
            return
        added = (("splices_added", "Splices added"),) if kind is Kind.CABLE else ()
        self._went_back(kind, added)


def _kept(name: str, answer: str) -> Any:
    """A plain number as a number; all else in the words of the answer, which the check reads."""
    if name not in _WORDS and re.fullmatch(r"\d{1,9}", answer):
        return int(answer)
    if name not in _WORDS and re.fullmatch(r"\d{1,9}\.\d{1,6}", answer):
        return float(answer)
    return answer
