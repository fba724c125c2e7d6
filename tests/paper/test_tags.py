"""Tags: their codes are read back by a reader that had no part in making them."""

from __future__ import annotations

import pytest
import zxingcpp
from printed_pages import SHOP, Pages, misplaced

from wellbook.paper.strips import TooLongError
from wellbook.paper.tags import Tag, TagPage, TagRoll

TAGS = [Tag(f"TF-{n:04}", SHOP, "555-0100") for n in range(1, 31)]


@pytest.mark.parametrize("kind", [TagPage, TagRoll])
def test_every_code_says_the_tag_and_nothing_else(kind: type[TagPage | TagRoll]) -> None:
    pages = Pages(kind(TAGS))
    read = [
        code.text
        for n in range(len(pages.texts))
        for code in zxingcpp.read_barcodes(pages.image(n))
    ]
    assert sorted(read) == [tag.tag for tag in TAGS]
    assert misplaced(pages, 2.0) == []


def test_a_page_has_twenty_four_tags_each_with_whom_to_ring() -> None:
    pages = Pages(TagPage(TAGS))
    assert [text.count("555-0100") for text in pages.texts] == [24, 6]
    assert set(pages.texts[1].replace(SHOP, "").split()) == {
        "555-0100",
        *(t.tag for t in TAGS[24:]),
    }


def test_a_label_printer_gets_one_a_page() -> None:
    pages = Pages(TagRoll(TAGS[:2]))
    assert [(p.mediabox.width, p.mediabox.height) for p in pages.pdf.pages] == [(144, 72)] * 2
    assert pages.texts[0] == f"TF-0001 {SHOP} 555-0100"


def test_a_number_that_does_not_fit_is_refused_and_not_cut() -> None:
    with pytest.raises(TooLongError, match="is too long for a number on a tag"):
        Pages(TagRoll([Tag("TF-0001", SHOP, "5" * 40)]))
    assert "1-555-555-0100" in Pages(TagRoll([Tag("TF-0001", SHOP, "1-555-555-0100")])).text


@pytest.mark.parametrize("tag", ["7", "W" * 40, "Ännä <b> 井", "a b c"])
def test_odd_tags_are_read_back_too(tag: str) -> None:
    pages = Pages(TagRoll([Tag(tag, "Shop & Sons " * 9, "")]))
    assert [code.text for code in zxingcpp.read_barcodes(pages.image(0, 8))] == [tag]
    assert misplaced(pages, 1.0) == []


@pytest.mark.parametrize("kind", [TagPage, TagRoll])
def test_a_number_to_ring_is_the_larger_beside_the_name(kind: type[TagPage | TagRoll]) -> None:
    (page,) = Pages(kind([Tag("TF-0031", "NETTLEWICK", "207-555-0147")])).seen()
    high = {text.strip(): top - foot for (_, foot, _, top), text in page.rows}
    assert high["207-555-0147"] > high["NETTLEWICK"]
