"""The words for materials: how people write them on a sheet, and the one word the book keeps.

The spellings are common practice, no published source; what follows from a grade and a wall is held
against the standards named beside it.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.pipe import table_material
from wellbook.engineering.ratings import rating_from_dimensions
from wellbook.hole.fields import field_types
from wellbook.hole.materials import SPELLINGS, in_the_books_word, read_material
from wellbook.hole.parts import Pipe
from wellbook.hole.sheet import read_sheet
from wellbook.rules.materials import is_metal, is_plastic
from wellbook.rules.string_facts import rating_psi

TODAY = date(2026, 11, 25)


def pipe(**row: Any) -> Pipe:
    """A pipe as a sheet says it."""
    data = {"date": "2026-05-14", "reason": "other", "set": {"pipe": row}}
    return Pipe(**read_sheet(data, today=TODAY).set[0].values)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("written", "word"),
    [
        ("pe4710", "pe4710"),
        ("PE 4710", "pe4710"),
        ("PE-4710", "pe4710"),
        ("HDPE 4710", "pe4710"),
        ("Poly (3408)", "pe3408"),
        ("pe 3608 pipe", "pe3608"),
        ("poly", "polyethylene"),
        ("HDPE", "polyethylene"),
        ("polyethylene", "polyethylene"),
        ("galvanized", "galvanized_steel"),
        ("galvanized_steel", "galvanized_steel"),
        ("Galv.", "galvanized_steel"),
        ("galvanised iron", "galvanized_steel"),
        ("stainless", "stainless_steel"),
        ("304 SS", "stainless_steel"),
        ("PVC", "pvc"),
        ("steel", "steel"),
        ("Brass", "brass"),
        ("aluminium", "aluminum"),
    ],
)
def test_a_sheet_reads_what_people_write_into_one_word(written: str, word: str) -> None:
    assert pipe(material=written).material == word


@pytest.mark.parametrize(
    "told", ["field stone", "brass point", "plastic-coated steel", "PVC/steel"]
)
def test_what_is_in_no_table_stays_as_it_was_told(told: str) -> None:
    assert pipe(material=told).material == told


@given(st.text())
def test_reading_again_changes_nothing(text: str) -> None:
    assert read_material(read_material(text)) == read_material(text)


@pytest.mark.parametrize("word", sorted(SPELLINGS))
def test_every_word_is_itself_and_known_to_the_rules(word: str) -> None:
    assert read_material(word) == word
    assert is_metal(word) + is_plastic(word) == (word != "concrete")


@pytest.mark.parametrize(
    ("written", "material", "wall", "rating"),
    [
        ("SCH 80 PVC", "pvc", "SCH 80", None),
        ("PVC schedule 40", "pvc", "schedule 40", None),
        ("PE 4710 SIDR 7", "pe4710", "SIDR 7", None),
        ("poly DR11", "polyethylene", "DR11", None),
        ("200 psi poly", "polyethylene", None, 200.0),
        ("160# PE 3408 SIDR-9", "pe3408", "SIDR-9", 160.0),
    ],
)
def test_a_marking_beside_the_material_goes_into_its_own_field(
    written: str, material: str, wall: str | None, rating: float | None
) -> None:
    read = pipe(material=written)
    assert (read.material, read.wall, read.rating_psi) == (material, wall, rating)


def test_a_marking_that_says_the_same_again_is_no_contradiction() -> None:
    read = pipe(material="SCH 80 PVC", wall="sch 80")
    assert (read.material, read.wall) == ("pvc", "SCH 80")


def test_where_two_walls_are_named_nothing_is_guessed() -> None:
    read = pipe(material="SCH 80 PVC", wall="sch 40", nominal_in="1")
    assert (read.material, read.wall) == ("SCH 80 PVC", "sch 40")
    assert rating_psi(read) is None


def test_a_part_without_a_wall_keeps_the_words() -> None:
    data = {"date": "2026-05-14", "reason": "other", "bore": {"kind": "casing"}}
    data["bore"]["material"] = "sch 40 pvc"  # type: ignore[index]
    assert read_sheet(data, today=TODAY).bore[0].material == "sch 40 pvc"


def test_the_rating_follows_whatever_the_spelling() -> None:
    """SIDR 11.5 in PE4710 is 160 psi (a published table of PE4710 classes; ASTM D2239)."""
    for written in ("PE 4710", "HDPE 4710", "poly 4710", "pe4710"):
        assert rating_psi(pipe(material=written, wall="SIDR 11.5")) == 160
    # 1 in schedule 80 is 630 psi (Machinery's Handbook, 31st ed., p. 2770); threads halve it (a
    # pipe maker's derating page), and drop pipe of PVC comes in threaded joints.
    assert rating_psi(pipe(material="SCH 80 PVC", nominal_in="1")) == 315


def test_a_grade_that_nobody_noted_gives_no_rating() -> None:
    """SIDR 9 is 160 psi in PE3408 and 200 in PE4710: of bare "poly" nobody can say."""
    assert rating_psi(pipe(material="poly", wall="SIDR 9")) is None


def test_plain_steel_has_the_tables_of_galvanized() -> None:
    assert table_material(pipe(material="black steel").material or "") == "galvanized_steel"
    assert rating_from_dimensions("galvanized_steel", "sch 40", "1") is None


def test_what_an_old_book_holds_is_read_like_a_sheet() -> None:
    names = tuple(field_types(Pipe))
    old = {"material": "SCH 80 PVC", "nominal_in": "1"}
    assert in_the_books_word(old, names) == {"material": "pvc", "nominal_in": "1", "wall": "SCH 80"}
