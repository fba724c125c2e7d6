"""The papers of a job as pages: every fact with its basis, its day and who; a place to sign; any text.

What a written report has is NGWA's consumer text on the yearly check-up ("a clear, concise, written
report"); that a statement bears no opinion is Wisconsin NR 812.44.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printed_pages import DAY, Pages, misplaced

from wellbook.hole.hole import Hole
from wellbook.paper.booklet import MARGIN
from wellbook.paper.job_paper import job_paper
from wellbook.present.job_papers.content import Entry, PaperContent, Section
from wellbook.present.job_papers.of_visit import content_of
from wellbook.present.job_papers.statement import statement_of_facts
from wellbook.rules.paper_facts import papers_of
from wellbook.store.book import Book
from wellbook.store.holes import load_hole
from wellbook.store.shop import ShopSays
from wellbook.store.the_well import the_well
from wellbook.terms import PaperKind

SHOP = ShopSays(
    {
        "name": "Three Forks Pumps",
        "address": "18 Foundry Lane, Thistleford, ST 00000",
        "phone": "555-0100",
        "licence": "PI-0417",
    }
)
SIGNS = st.sampled_from("abcWMQij 019.,;<>&%\"'(){}éßЖ●→·\u00a0\u202e\u200b\t\n")
TEXTS = st.one_of(
    st.text(SIGNS, max_size=80),
    st.integers(1, 300).map(lambda count: "W" * count),
    st.integers(1, 300).map(lambda count: "word " * count),
)


def contents(hole: Hole) -> Iterator[PaperContent]:
    yield statement_of_facts(hole.on(DAY), DAY)
    for visit in hole.visited():
        for paper in papers_of(hole, visit):
            if paper.kind is not PaperKind.LABORATORY_SHEET:
                yield content_of(paper, hole, (), "Three Forks Pumps, license PI-0417")


@pytest.mark.parametrize("tag", ["TF-0031", "TF-0034", "TF-0051", "TF-0063", "TF-0092"])
def test_every_fact_of_every_paper_stands_there_with_what_it_rests_on(demo: Book, tag: str) -> None:
    with demo.reading() as connection:
        hole = load_hole(connection, the_well(connection, tag))
    for content in contents(hole):
        pages = Pages(job_paper(content, SHOP, DAY))
        assert misplaced(pages, MARGIN - 6) == []
        # A long text is broken between words, and goes on beside another column.
        words = set(pages.text.split())
        for section in content.sections:
            assert section.heading.upper() in pages.text
            for entry in section.entries:
                said = (entry.label, entry.value, entry.basis, entry.as_of, entry.recorded_by)
                for text in (*said, entry.compared_with):
                    assert {w.strip(",") for w in text.split()} <= {w.strip(",") for w in words}
        for caution in content.cautions:
            assert f"· {caution}" in pages.text
        for n, text in enumerate(pages.texts, start=1):
            assert text.endswith(f"Three Forks Pumps page {n} of {len(pages.texts)}")


def test_the_shop_heads_it_and_has_a_line_to_sign_and_a_date() -> None:
    content = PaperContent("Pump report", "TF-1", (Section("The well", (Entry("well"),)),), "code")
    first = Pages(job_paper(content, SHOP, DAY)).texts[0]
    head = "Three Forks Pumps 18 Foundry Lane, Thistleford, ST 00000 555-0100 License PI-0417"
    assert head in first and first.index(head) < first.index("Pump report · TF-1")
    assert "well unknown" in first
    assert "signature date Three Forks Pumps, license PI-0417" in first


def test_a_figure_is_compared_with_the_published_one_under_the_value() -> None:
    entry = Entry("nitrate", "12 mg/L", "laboratory", "2026-06-02", "Lu", "10 mg/L (MCL)")
    content = PaperContent("Report", "TF-1", (Section("Water", (entry,)),), "code")
    text = Pages(job_paper(content, SHOP, DAY)).text
    assert "nitrate 12 mg/L laboratory, 2026-06-02, Lu compared with: 10 mg/L (MCL)" in text


@settings(max_examples=40)
@given(TEXTS, TEXTS, TEXTS)
def test_a_paper_of_any_text_keeps_to_its_places(one: str, two: str, three: str) -> None:
    entries = (Entry(one, two, three, one, two, three), Entry(two, three), Entry(three, one, two))
    content = PaperContent(one, two, (Section(three, entries),), two, (one,))
    shop = ShopSays({"name": one, "address": two, "phone": three, "licence": one})
    assert misplaced(Pages(job_paper(content, shop, DAY)), MARGIN - 6) == []
