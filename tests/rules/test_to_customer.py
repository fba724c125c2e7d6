"""Which rules tell the customer something, decided for every rule of the catalogue.

That a letter which names this well, this date and this pump moves people: Journal of Water and
Health 2020, wh.2020.059.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from rule_holes import check_told
from sqlalchemy import select

from wellbook.rules.catalogue import RULES
from wellbook.rules.finding import Finding
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.ledger import ledger_of
from wellbook.store.places import book_url

TELL = {
    "check-up",
    "control-box",
    "falling-level",
    "insulation",
    "motor-load",
    "observed-stall",
    "papers-owed",
    "pump-age",
    "samples-owed",
    "season",
    "short-cycling",
    "suction-lift",
    "unfinished",
    "water-figures",
    "water-test",
    "yield-protection",
}
SILENT = {
    # What waits for the next pull is the crew's affair.
    "cable-age",
    "cable-wear",
    "check-valve-spacing",
    "falling-capacity",
    "lift-limit",
    "pipe-rating",
    "pump-depth",
    "shut-off-pressure",
    "string-fittings",
    "useless-depth",
    "voltage-drop",
    # What is only asked or doubted is asked, not told.
    "doubtful-record",
    "record-gap",
}


@pytest.fixture(scope="module")
def findings(loaded_shop: Path) -> list[Finding]:
    book = Book(book_url(loaded_shop))
    with book.reading() as connection:
        numbers = list(connection.execute(select(t.well.c.id)).scalars())
        found = [f for number in numbers for f in ledger_of(connection, number)]
    book.close()
    return found


def test_every_rule_is_decided() -> None:
    assert not TELL & SILENT
    assert {rule.name for rule in RULES} == TELL | SILENT


def test_those_that_tell_do_and_the_others_never(findings: list[Finding]) -> None:
    assert {f.rule for f in findings if f.to_customer} == TELL


def test_no_sentence_has_an_opinion_on_water_or_tongue_of_the_trade(
    findings: list[Finding],
) -> None:
    words = re.compile(r"\b(un)?safe|\bcontaminat|\bdanger|\bsurely\b|\bgpm\b|→", re.IGNORECASE)
    for finding in findings:
        check_told(finding)
        assert not words.search(finding.to_customer), finding.to_customer
        # "12 mg/L" alone is a fright or a comfort: it stands beside a published figure.
        if re.search(r"\d (mg/L|megohm|amperes|volts|psi)\b", finding.to_customer):
            assert "compared with" in finding.to_customer


def test_most_sentences_name_a_day_of_this_well(findings: list[Finding]) -> None:
    told = [f for f in findings if f.to_customer]
    dated = [f for f in told if re.search(r"\b(19|20)\d\d\b", f.to_customer)]
    undated = {f.rule for f in told} - {f.rule for f in dated}
    # What is wrong with a part as it is has no day of its own.
    assert undated <= {"short-cycling", "control-box", "falling-level"}


def test_what_has_no_day_says_that_it_is_the_record(findings: list[Finding]) -> None:
    """The tank may have been pumped up since: nobody was told on which day it was read."""
    undated = [f.to_customer for f in findings if f.rule in ("short-cycling", "control-box")]
    assert any(undated)
    assert all("our record" in told.lower() for told in undated if told)


def test_no_sentence_has_a_word_twice_or_a_short_word_of_the_trade(
    findings: list[Finding],
) -> None:
    for finding in findings:
        told = finding.to_customer
        assert not re.search(r"\b(of|in|on|by) (of|in|on|by|about|between|before)\b", told), told
        assert not re.search(r"\bMCL\b", told), told
