"""The papers of a job: recorded facts with date, basis and who; no opinion on a well or its water.

That no opinion may stand on one at a sale is Wisconsin NR 812.44; the fields of a pump report are
those of Michigan R 325.1676, Hawaii part II and West Virginia 64-19-5.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select

from wellbook.engineering.analytes import Result
from wellbook.hole.hole import Hole
from wellbook.present.job_papers.content import (
    IN_THEIR_WORDS,
    UNKNOWN,
    PaperContent,
    sample_entries,
)
from wellbook.present.job_papers.customer_report import customer_report
from wellbook.present.job_papers.records import pump_report, sealing_record, warranty_return
from wellbook.present.job_papers.statement import statement_of_facts
from wellbook.present.water_lines import years_lines
from wellbook.rules import catalogue
from wellbook.rules.finding import Settings
from wellbook.rules.paper_facts import failed_in_warranty, pump_set_by
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.holes import load_holes
from wellbook.store.places import book_url
from wellbook.terms import Reason, WellStatus

DAY = date(2026, 11, 25)
OPINION = re.compile(
    r"\b(un)?safe(ly|ty)?\b|\bunfit\b|\bfit (for|to)\b|\b(un)?healthy\b|\b(good|bad|poor|fine|excellent|sound"
    r"|satisfactory|acceptable|adequate|inadequate|potable|drinkable|dangerous|harmless|worn out"
    r"|we believe|we think|in our opinion|recommend(ed|s)?)\b",
    re.IGNORECASE,
)


@pytest.fixture(scope="module")
def holes(loaded_shop: Path) -> Iterator[dict[str, Hole]]:
    book = Book(book_url(loaded_shop))
    with book.reading() as connection:
        numbers = list(connection.execute(select(t.well.c.id)).scalars())
        yield {hole.tag: hole for hole in load_holes(connection, numbers)}
    book.close()


def papers(hole: Hole) -> Iterator[PaperContent]:
    """Every paper that the record of a well can give, whether or not anybody asks for it."""
    due = [f for f in catalogue.judge(hole, Settings()) if f.holds(DAY)]
    yield statement_of_facts(hole.on(DAY), DAY)
    for visit in hole.visited():
        yield customer_report(hole, visit, due)
        if pump_set_by(hole, visit):
            yield pump_report(hole, visit)
        if visit.reason is Reason.DECOMMISSIONING:
            yield sealing_record(hole, visit)
        failed = failed_in_warranty(hole, visit)
        if failed is not None:
            yield warranty_return(hole, visit, failed)


def test_no_paper_of_the_whole_shop_has_an_opinion(holes: dict[str, Hole]) -> None:
    titles = set()
    for hole in holes.values():
        for paper in papers(hole):
            titles.add(paper.title.partition(" of ")[0])
            said = [paper.title, paper.source, *paper.cautions]
            for section in paper.sections:
                said.append(section.heading)
                for e in section.entries:
                    # What the crew wrote is copied, and says whose words it is.
                    if e.basis != IN_THEIR_WORDS:
                        said += [e.label, e.value, e.basis, e.compared_with]
                    assert e.value, (paper.title, e.label)
                    assert "None" not in e.value
            for text in said:
                assert not OPINION.search(text), (hole.tag, paper.title, text)
    assert titles == {
        "Statement",
        "Report",
        "Pump report",
        "Sealing record",
        "Return under warranty",
    }


def test_nitrate_and_nitrite_are_held_together_too(holes: dict[str, Hole]) -> None:
    """40 CFR 141.62(b)(9): 10 mg/L of both; each may be under its own figure."""
    hole = holes["TF-0031"]
    results = {"nitrate_mg_l": Result(9.8), "nitrite_mg_l": Result(0.4)}
    sample = replace(hole.samples[-1], results=results)
    told = {e.label: e for e in sample_entries(hole, sample)}
    both = told["nitrate and nitrite"]
    assert both.value == "10.2 mg/L"
    assert both.compared_with == "10 mg/L (MCL, 40 CFR 141.62(b)(9))"
    samples = (*hole.samples[:-1], sample)
    listed = "\n".join(str(x) for x in years_lines(replace(hole, samples=samples), 200))
    assert listed.count("nitrate and nitrite") == 2


def test_a_result_stands_beside_the_published_figure_and_nothing_else(
    holes: dict[str, Hole],
) -> None:
    paper = statement_of_facts(holes["TF-0031"], DAY)
    bacteria = paper.entry("bacteria")
    assert bacteria.value == "coliform present"
    assert "142.63(b)" in bacteria.compared_with
    assert bacteria.basis == "laboratory: Dravel County Water Lab"
    assert bacteria.as_of == "2026-06-02"
    assert "141.62(b)(7)" in paper.entry("nitrate").compared_with
    assert "HUD" in paper.entry("yield").compared_with


def test_every_fact_says_of_which_day_by_whom_and_on_what_it_rests(
    holes: dict[str, Hole],
) -> None:
    level = statement_of_facts(holes["TF-0031"], DAY).entry("static level")
    assert level.value == "168 ft, from casing top, sounder"
    assert (level.basis, level.as_of, level.recorded_by) == (
        "measured",
        "2025-09-09",
        "Marit and Lu",
    )
    depth = statement_of_facts(holes["TF-0090"], DAY).entry("total depth")
    assert (depth.value, depth.basis) == ("180 ft", "drillers log")
    assert depth.recorded_by == "Ostrel Rotary, log"


def test_that_a_well_has_no_pump_is_on_record_and_not_unknown(holes: dict[str, Hole]) -> None:
    """TF-0048: its pump was pulled on 2026-11-19, and the well left without one."""
    pump = statement_of_facts(holes["TF-0048"], DAY).entry("pump")
    assert pump.value == "pulled; none set since is on record"
    assert (pump.as_of, pump.recorded_by) == ("2026-11-19", "Marit and Lu")


def test_what_is_not_on_record_prints_as_unknown(holes: dict[str, Hole]) -> None:
    paper = statement_of_facts(holes["TF-0050"], DAY)
    assert paper.entry("set at").value == UNKNOWN
    assert paper.entry("casing above ground").value == UNKNOWN or holes["TF-0050"].stick_up_ft
    assert any("unknown" in caution for caution in paper.cautions)
    assert any("no opinion" in caution for caution in paper.cautions)


def test_a_pump_report_has_the_fields_that_states_ask_for(holes: dict[str, Hole]) -> None:
    hole = holes["TF-0092"]
    (visit,) = (v for v in hole.visited() if v.start == date(2026, 8, 25))
    paper = pump_report(hole, visit, contractor="Marit's Pumps, licence 12")
    wanted = {
        "permit number": "14-0092",
        "owner": "Cordelia Ashgrove",
        "location": "18 Linden Way, Thistleford",
        "contractor and licence": "Marit's Pumps, licence 12",
        "ended": "2026-08-25",
        "total depth": "240 ft",
        "pump maker": "Oskerby",
        "pump model": "O-1007",
        "pump serial": "OS-A2",
        "horsepower": "3/4 hp",
        "rated flow": "10 gpm",
        "set at": "190 ft",
        "drop pipe": "0 to 190 ft",
        "disinfected": "yes",
        "volts": UNKNOWN,
    }
    assert {label: paper.entry(label).value for label in wanted} == wanted
    assert "Michigan R 325.1676" in paper.source
    assert pump_report(hole, visit).entry("contractor and licence").value == UNKNOWN


def test_a_warranty_return_says_what_failed_when_and_why(holes: dict[str, Hole]) -> None:
    hole = holes["TF-0092"]
    (visit,) = (v for v in hole.visited() if v.start == date(2026, 8, 25))
    failed = failed_in_warranty(hole, visit)
    assert failed is not None
    paper = warranty_return(hole, visit, failed)
    wanted = {
        "pump serial": "OS-A1",
        "warranty until": "2027-03-12",
        "set": "2024-03-12",
        "pulled": "2026-08-25",
        "why the pump was pulled": "winding to ground",
        "cause, pump": "lightning",
        "insulation": "500 megohm",
    }
    assert {label: paper.entry(label).value for label in wanted} == wanted


def test_a_report_says_what_was_found_done_left_and_what_is_due_next(
    holes: dict[str, Hole],
) -> None:
    hole = holes["TF-0031"]
    (visit,) = (v for v in hole.visited() if v.start == date(2025, 9, 9))
    due = [f for f in catalogue.judge(hole, Settings()) if f.holds(DAY)]
    paper = customer_report(hole, visit, due)
    assert paper.entry("insulation").value == "4 megohm"
    assert paper.entry("next time").value.startswith("Talk about low-water protection")
    told = [e.value for s in paper.sections if s.heading == "Due next" for e in s.entries]
    assert (
        "The last check-up of this well was on September 9, 2025; the National Ground Water"
        " Association advises one every 12 months." in told
    )
    # Nothing that only the shop needs to know of its customer goes out with it.
    everything = " ".join(e.value for s in paper.sections for e in s.entries)
    assert "Pays on the day" not in everything


def test_a_sealing_record_has_the_crews_words_and_what_is_unknown(
    holes: dict[str, Hole],
) -> None:
    hole = holes["TF-0063"]
    assert hole.status is WellStatus.SEALED
    (visit,) = (v for v in hole.visited() if v.reason is Reason.DECOMMISSIONING)
    paper = sealing_record(hole, visit)
    assert paper.entry("method").value.startswith("Pulled everything, grouted from the bottom up")
    assert paper.entry("method").basis == IN_THEIR_WORDS
    assert paper.entry("material").value == UNKNOWN
    with pytest.raises(KeyError):
        paper.entry("no such thing")
