"""The page of one well as frozen data: everything that `wellbook hole` says, without any layout.

The terminal, a printed page and a phone each render this; none of them looks at the record again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from wellbook.hole.hole import Hole
from wellbook.present.bore_lines import bore_lines
from wellbook.present.cautions import cautions
from wellbook.present.finding_lines import FindingLine, finding_lines
from wellbook.present.lines import Line, set_text
from wellbook.present.load_lines import load_lines, things_to_bring
from wellbook.present.picture import Scene, scene_of
from wellbook.present.place_lines import place_lines, title
from wellbook.present.questions import Question, questions
from wellbook.present.reading_lines import reading_lines
from wellbook.present.recent import last_lines
from wellbook.present.standing_texts import standing_texts
from wellbook.present.string_lines import string_lines
from wellbook.rules import names
from wellbook.rules.finding import Finding
from wellbook.rules.reach import Reach
from wellbook.store.lives import Life, Standing, standing
from wellbook.terms import Kind, Quantity, Severity, WellStatus

if TYPE_CHECKING:
    # It has the rules with it, and a page is made without them.
    from wellbook.store.judged_wells import JudgedWell


@dataclass(frozen=True, slots=True)
class Silenced:
    """A rule (or one finding of it) that the shop does not want to see at this well, and why."""

    what: str
    why: str


@dataclass(frozen=True, slots=True)
class HolePage:
    """All that is said of a well on a day, section by section."""

    tag: str
    title: str
    day: date
    down_since: str
    place: tuple[Line, ...]
    bore: tuple[Line, ...]
    string: tuple[Line, ...]
    readings: tuple[Line, ...]
    findings: tuple[FindingLine, ...]
    to_find_out: tuple[FindingLine, ...]
    questions: tuple[Question, ...]
    neighbours: str
    silenced: tuple[Silenced, ...]
    said: tuple[str, ...]
    last: tuple[Line, ...]
    files: str
    load: tuple[Line, ...]
    bring: tuple[str, ...]
    cautions: tuple[str, ...]
    scene: Scene


def build_page(
    hole: Hole,
    findings: Sequence[Finding],
    day: date,
    *,
    silenced: Mapping[str, str] | None = None,
    lives: Mapping[str, Life] | None = None,
    reach: Reach | None = None,
) -> HolePage:
    """The page of a well.

    Parameters
    ----------
    hole
        The well as of `day` (`hole.on(day)`).
    findings
        Those that hold on `day`.
    day
        The day of the page; ages count to it.
    silenced
        Name of a rule, or an occurrence, -> why the shop does not want to see it here.
    lives
        Occurrence -> what was last said of it to the customer. What he declined is named and no
        more said of it, unless it is grave.
    reach
        The limits of the well as of `day`; without them the picture shows none.
    """
    quiet = silenced or {}
    said = lives or {}
    seen = loud_findings(findings, quiet)
    loud = [f for f in seen if not _declined(f, said, day)]
    asked = list(questions(hole))
    return HolePage(
        tag=hole.tag,
        title=title(hole),
        day=day,
        down_since=_down_since(hole),
        place=tuple(place_lines(hole)),
        bore=tuple(bore_lines(hole)),
        string=tuple(string_lines(hole, day)),
        readings=tuple(reading_lines(hole)),
        findings=tuple(finding_lines([f for f in loud if f.severity is not Severity.ASK], day)),
        to_find_out=tuple(finding_lines([f for f in loud if _asks_more(f, asked)], day)),
        questions=tuple(q for q in asked if not _asked_by(q, loud)),
        neighbours=_neighbours(hole),
        silenced=tuple(Silenced(what, why) for what, why in quiet.items()),
        said=tuple(standing_texts([(f, said.get(f.occurrence)) for f in seen], day)),
        last=tuple(last_lines(hole)),
        files=_files(hole),
        load=tuple(load_lines(hole, loud)),
        bring=tuple(things_to_bring(hole, loud)),
        cautions=tuple(cautions(hole, day)),
        scene=scene_of(hole, reach),
    )


def page_of(well: JudgedWell) -> HolePage:
    """The page of a well that the book has judged."""
    return build_page(
        well.hole,
        well.findings,
        well.day,
        silenced=well.silenced,
        lives=well.said,
        reach=well.reach,
    )


def _files(hole: Hole) -> str:
    """All files of a well in one short line, the newest first; "" where there are none."""
    names_of_all = ", ".join(file.name for file in reversed(hole.files))
    return f"{len(hole.files)}: {names_of_all}" if hole.files else ""


def loud_findings(findings: Sequence[Finding], silenced: Mapping[str, str]) -> list[Finding]:
    """Those that are to be seen, worst first."""
    loud = [f for f in findings if f.rule not in silenced and f.occurrence not in silenced]
    return sorted(loud, key=lambda f: (*f.rank, f.rule, f.occurrence))


def _declined(finding: Finding, said: Mapping[str, Life], day: date) -> bool:
    """Whether the customer does not want to hear of it. What can hurt somebody stays to be seen."""
    stands = standing(said.get(finding.occurrence), day)
    return stands is Standing.DECLINED and finding.severity is not Severity.ACT


# A gap in the record and a question of the page may be the same: it is asked once, in few words.
_SAME = {
    "pump": {"pump_type"},
    "set depth": {"pump_set_depth_ft"},
    "pump flow": {"pump_rated_gpm"},
    "pipe rating": {"pipe", "pipe_rating"},
    "water level": {"static_level_ft"},
}


def _asks_more(finding: Finding, asked: Sequence[Question]) -> bool:
    """Whether a finding asks what no question of the page asks."""
    if finding.severity is not Severity.ASK:
        return False
    if finding.rule != names.RECORD_GAP:
        return True
    return not _SAME.get(finding.subject, set()) & {q.key for q in asked}


def _asked_by(question: Question, loud: Sequence[Finding]) -> bool:
    """Whether a finding asks for the last water test or visit already."""
    rules = {f.rule for f in loud if f.severity is Severity.ASK}
    if question.key == "water_test":
        return names.WATER_TEST in rules
    return question.key == "last_service" and names.CHECK_UP in rules


def _neighbours(hole: Hole) -> str:
    """Where nobody knows how deep it is or where its water stands, who may tell; "" elsewhere."""
    site, known = hole.site, hole.fact(Quantity.DEPTH_FT) and hole.at_rest()
    if known or site is None or site.latitude is None or hole.status is WellStatus.SEALED:
        return ""
    return f"what the neighbours' wells say: wellbook near {hole.tag}"


def _down_since(hole: Hole) -> str:
    """Since when the string hangs, where that is known."""
    there = hole.down(Kind.PUMP) or hole.down(Kind.PIPE)
    return set_text(there[0]) if there else ""
