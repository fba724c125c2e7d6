"""Letters and cards: who sees what through the window, and what does not fit is refused, not cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printed_pages import DAY, SHOP, Pages, misplaced

from wellbook.paper.inks import INCH
from wellbook.paper.letters import Letter, LetterText, Postcard
from wellbook.paper.printing import print_into
from wellbook.paper.strips import TooLongError

TEXT = LetterText(
    sender=(SHOP, "12 Depot Rd", "Dravel, ZZ 00000", "555-0100"),
    receiver=("Orla Venterick", "4 Larkspur Bend", "Nettlewick, ZZ 00000"),
    day=DAY,
    about="TF-0031",
    subject="Your well TF-0031: the yearly check-up",
    paragraphs=("It was last looked at on 2025-09-09.", "The pump was set on 2018-08-30."),
    signature="Marit",
)


def test_a_letter_says_it_all_on_one_page() -> None:
    pages = Pages(Letter(TEXT))
    assert len(pages.texts) == 1
    (text,) = pages.texts
    for words in (
        *TEXT.sender,
        *TEXT.receiver,
        TEXT.subject,
        *TEXT.paragraphs,
        "November 25, 2026",
    ):
        assert words in text
    assert text.endswith(f"{SHOP} · TF-0031 · 2026-11-25 page 1 of 1")


# The window of a No. 10 envelope (9-1/2 x 4-1/8 in): 4-1/2 x 1-1/8 in, 7/8 in from the left, 1/2 in from
# the foot. Common dimensions, from memory, no published source at hand. A third of a letter sheet is
# 8-1/2 x 3-2/3 in, so that it slips 1 in across and 0.458 in down.
ACROSS, DOWN = (0.875, 5.375), (4.125 - 0.5 - 1.125, 4.125 - 0.5)
SLIPS = [(x, y) for x in (0.0, 1.0) for y in (0.0, 4.125 - 11 / 3)]


@pytest.mark.parametrize("rows", [3, 4, 5])
@pytest.mark.parametrize("slip", SLIPS)
def test_the_window_shows_the_receiver_and_nothing_else(
    slip: tuple[float, float], rows: int
) -> None:
    receiver = ("Orla Venterick", "care of the Venterick Goat Dairy", "Barn 2", "4 Larkspur Bend")
    receiver = (*receiver[: rows - 1], "Nettlewick, ZZ 00000")
    (page,) = Pages(Letter(replace(TEXT, receiver=receiver))).seen()
    left, right = ((edge - slip[0]) * INCH for edge in ACROSS)
    top, foot = (page.height - (edge - slip[1]) * INCH for edge in DOWN)
    inside = [
        text.strip()
        for (x1, y1, x2, y2), text in page.rows
        if x2 > left and x1 < right and y2 > foot and y1 < top
    ]
    whole = [
        text.strip()
        for (x1, y1, x2, y2), text in page.rows
        if x1 >= left and x2 <= right and y1 >= foot and y2 <= top
    ]
    assert inside == whole == list(receiver)


def test_a_long_letter_goes_on_and_the_signature_stands_with_its_line() -> None:
    long = replace(TEXT, paragraphs=tuple(f"Paragraph {n}. " * 30 for n in range(14)))
    pages = Pages(Letter(long))
    count = len(pages.texts)
    assert count > 1
    for n, text in enumerate(pages.texts, start=1):
        assert text.endswith(f"page {n} of {count}") and "TF-0031" in text
    assert "Marit" in pages.texts[-1]
    assert misplaced(pages, 0.4 * INCH) == []


@settings(max_examples=25)
@given(
    st.lists(st.text(st.sampled_from("abcWM äß<&>…\u202e\t"), max_size=400), max_size=4),
    st.text(st.sampled_from("abcWM "), max_size=300),
)
def test_letters_of_any_text_keep_to_their_places(paragraphs: list[str], words: str) -> None:
    odd = replace(TEXT, paragraphs=tuple(paragraphs), subject=words, signature=words, about=words)
    assert misplaced(Pages(Letter(odd)), 0.4 * INCH) == []


def test_an_address_that_no_window_shows_is_refused_with_whose_it_is() -> None:
    odd = replace(TEXT, receiver=("Orla", *(f"row {n}" for n in range(5))))
    with pytest.raises(TooLongError, match="address of Orla takes 6 rows; there is room for 5"):
        Pages(Letter(odd))


def test_letters_come_from_an_iterator_one_after_the_other_and_tell_how_far_they_are() -> None:
    told: list[int] = []
    made: list[int] = []

    def letters() -> Iterator[Letter]:
        for n in range(30):
            assert len(told) == n
            made.append(n)
            yield Letter(replace(TEXT, about=f"TF-{n:04}"))

    file = BytesIO()
    printed = print_into(file, letters(), title="letters", tell=told.append)
    assert printed.pages == 30 and told == list(range(1, 31)) and len(made) == 30
    pages = pypdf.PdfReader(file).pages
    assert "TF-0017" in pages[17].extract_text()


# -- cards --------------------------------------------------------------------------------------


def test_a_card_has_an_address_side_and_a_text_side_of_six_by_four_inches() -> None:
    pages = Pages(Postcard(TEXT))
    front, back = pages.texts
    assert all(words in front for words in (*TEXT.sender, *TEXT.receiver))
    assert all(words in back for words in (SHOP, TEXT.subject, *TEXT.paragraphs, "Marit"))
    assert TEXT.subject not in front and "4 Larkspur Bend" not in back
    for page in pages.pdf.pages:
        assert (page.mediabox.width, page.mediabox.height) == (6 * 72, 4 * 72)
    assert misplaced(pages, 0.25 * INCH) == []


def test_a_card_takes_smaller_letters_before_it_refuses() -> None:
    fuller = replace(TEXT, paragraphs=("It was last looked at on 2025-09-09. " * 16,))
    assert misplaced(Pages(Postcard(fuller)), 0.25 * INCH) == []
    with pytest.raises(TooLongError, match="too much text for a card about TF-0031; send a letter"):
        Pages(Postcard(replace(TEXT, paragraphs=("It was last looked at. " * 90,))))


@pytest.mark.parametrize("kind", [Letter, Postcard])
def test_a_line_break_within_a_paragraph_is_one_on_paper(kind: type[Letter | Postcard]) -> None:
    lines = "Check-up, from December 9, 2026\nWater test is due"
    pages = Pages(kind(replace(TEXT, paragraphs=(lines,))))
    rows = pages.pdf.pages[-1].extract_text().split("\n")
    assert [row.strip() for row in rows if "December 9" in row or "Water" in row] == lines.split(
        "\n"
    )


def test_a_long_name_of_a_shop_keeps_to_the_sides_in_bold() -> None:
    name = "The Pump, Well and Water Treatment Company of Upper Dravel and Sons (Incorporated)"
    (page,) = Pages(Letter(replace(TEXT, sender=(name, *TEXT.sender[1:])))).seen()
    head = [right for (_, low, right, _), _ in page.rows if low > page.height / 2]
    assert max(head) <= 7.5 * INCH
