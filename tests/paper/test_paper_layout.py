"""No text runs over the edge or over other text, whatever it is and however long."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printed_pages import DAY, SHOP, Pages, misplaced

from wellbook.paper.blocks import (
    Blank,
    Block,
    Choice,
    Entry,
    Heading,
    Lines,
    Paragraph,
    Tick,
    Title,
    Together,
)
from wellbook.paper.booklet import MARGIN, Booklet, Section
from wellbook.paper.faces import BOLD, LACKING, REGULAR, Setter, wide
from wellbook.paper.hole_leaves import hole_leaves
from wellbook.paper.hole_on_paper import HoleOnPaper
from wellbook.paper.inks import Leaf, Put
from wellbook.paper.mark_inks import INKS
from wellbook.paper.strips import Stretching, Strip, paged
from wellbook.paper.visit_sheet import visit_sheet
from wellbook.present.labelled_hole import Letters, key_rows, labelled_hole
from wellbook.present.marks import Box, Hatch, Oval, Shape, Stroke

# Letters of scripts that the faces have, blanks, and signs that mean something to other programs.
SIGNS = st.sampled_from(
    "abcmWMQij 0189 .,;-/<>&%#\\\"'()[]{}$éüñßłαΩЖя●◐○→·…\u00a0\u202e\u200b\t\n"
)
TEXTS = st.one_of(
    st.text(SIGNS, max_size=60),
    st.text(SIGNS, min_size=1, max_size=20).map(lambda text: text * 60),
    st.integers(1, 400).map(lambda count: "W" * count),
)


def booklet(*blocks: Block, about: str = "TF-0001") -> Booklet:
    return Booklet(SHOP, DAY, (Section("test", about, blocks),))


@settings(max_examples=40)
@given(TEXTS, TEXTS, TEXTS)
def test_every_block_keeps_to_its_place(one: str, two: str, three: str) -> None:
    blocks = (
        Title(one),
        Heading(two, three),
        Entry(one, two, three),
        Paragraph(three),
        Tick(one),
        Blank(two, three, "measured.flow_gpm", (one, two)),
        Choice(one, (two, three, "no"), "found"),
        Lines(one, 2, "notes"),
        Together((Entry("", two), Entry("next", three))),
    )
    assert misplaced(Pages(booklet(*blocks, about=one)), MARGIN - 3) == []


def test_ten_thousand_letters_of_notes_go_on_from_page_to_page() -> None:
    words = [f"note{n}" for n in range(1200)]
    pages = Pages(booklet(Entry("notes", " ".join(words), "● 2026-11-25"), Paragraph("the end")))
    assert len(pages.texts) > 2
    assert pages.texts[-1].endswith(f"the end {SHOP} page {len(pages.texts)} of {len(pages.texts)}")
    assert all(word in pages.text.split() for word in words)
    assert misplaced(pages, MARGIN - 3) == []


def test_a_word_wider_than_the_page_is_broken_and_nothing_of_it_is_lost() -> None:
    rows = Setter().rows("Donaudampfschifffahrtsgesellschaftskapitaen" * 8, REGULAR, 11, 200)
    assert "".join(rows) == "Donaudampfschifffahrtsgesellschaftskapitaen" * 8
    assert all(wide(row, REGULAR, 11) <= 200 for row in rows)


def test_what_has_one_row_is_cut_where_it_is_seen() -> None:
    said = Setter().one_row("behind the shed, forty feet north", BOLD, 11, 120)
    assert said.endswith("…") and wide(said, BOLD, 11) <= 120


def test_a_letter_that_the_face_lacks_is_a_box_and_is_named_once() -> None:
    pages = Pages(booklet(Paragraph("well 井戸 and 井"), Paragraph("🛢 oil")))
    assert pages.printed.lacking == ("井", "戸", "🛢")
    assert f"well {LACKING}{LACKING} and {LACKING}" in pages.text


@pytest.mark.parametrize(
    "sign", ["\N{HEBREW LETTER ALEF}", "\N{ARABIC LETTER BEH}", "\N{GRINNING FACE}"]
)
def test_what_would_stand_backwards_or_could_not_be_copied_is_a_box_too(sign: str) -> None:
    pages = Pages(booklet(Paragraph(f"a{sign}b")))
    assert pages.printed.lacking == (sign,) and f"a{LACKING}b" in pages.text


def test_what_means_something_elsewhere_is_only_text_here() -> None:
    hostile = (
        "<b>bold</b> & <img src='x'/> \u202egnp.exe\u2066 \x1b[31mred [/bold] %%EOF (\\) endobj"
    )
    pages = Pages(booklet(Paragraph(hostile)))
    assert "<b>bold</b> & <img src='x'/> gnp.exe red [/bold] %%EOF (\\) endobj" in pages.text
    assert pages.printed.lacking == ()


def test_a_heading_is_never_the_last_on_a_page() -> None:
    lines = [Entry("row", f"number {n}") for n in range(120)]
    blocks = [block for n, line in enumerate(lines) for block in (Heading(f"HEAD {n}"), line)]
    pages = Pages(booklet(*blocks))
    for text in pages.texts:
        before_the_foot = text.rpartition(f" {SHOP} page")[0]
        assert before_the_foot.rpartition("HEAD")[2].count("number") == 1


def test_what_keeps_together_and_is_higher_than_a_page_is_parted_all_the_same() -> None:
    strips = [Strip(10, (Put(0, 8, str(n)),), keeps=True) for n in range(25)]
    pages = list(paged(strips, 100, 100))
    assert [len(page) for page in pages] == [10, 10, 5]


def test_a_drawing_takes_what_is_left_and_no_less_than_it_needs() -> None:
    heights: list[float] = []

    def inks(height: float) -> tuple[Put, ...]:
        heights.append(height)
        return (Put(0, height, "foot"),)

    for above in (0, 400, 600):
        list(paged([Strip(above, (Put(0, 1, "top"),)), Stretching(200, 500, inks)], 700, 700))
    assert heights == [500, 300, 500]


# -- the demo shop's wells ------------------------------------------------------------------------

TAGS = ["TF-0031", "TF-0034", "TF-0048", "TF-0051", "TF-0055", "TF-0062", "TF-0063", "TF-0064"]


@pytest.mark.parametrize("tag", TAGS)
def test_the_pages_of_a_well_keep_to_their_places(
    tag: str, well: Callable[[str], HoleOnPaper]
) -> None:
    found = well(tag)
    pages = Pages(hole_leaves(found, SHOP), visit_sheet(found, SHOP, opens=True))
    assert misplaced(pages, MARGIN - 6) == []


@pytest.mark.parametrize("tag", TAGS)
def test_every_mark_of_a_drawing_has_an_ink(tag: str, well: Callable[[str], HoleOnPaper]) -> None:
    section = well(tag).section
    letters = Letters(17, lambda text: 7.0 * len(text), lambda text, _room: text)
    key = (mark for row in key_rows(section, letters) for mark in row)
    marks = [*labelled_hole(section, letters, 40, 600), *key]
    names = {m.name for m in marks if isinstance(m, Box | Oval | Shape | Stroke)}
    assert names <= INKS.keys()
    assert {m.pattern for m in marks if isinstance(m, Hatch)} <= {"may", "dry", "over"}


# -- and the reader sees what is wrong -------------------------------------------------------------


class Crooked:
    """A page with text over text, and over the edge."""

    def leaves(self, _setter: Setter) -> Iterator[Leaf]:
        yield Leaf((Put(100, 100, "one"), Put(104, 104, "two"), Put(560, 300, "far too long")))


def test_what_runs_over_is_seen() -> None:
    said = " ".join(misplaced(Pages(Crooked()), MARGIN))
    assert "'one" in said and "over 'two'" in said and "over the edge: far too long" in said
