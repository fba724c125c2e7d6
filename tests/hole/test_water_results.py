"""What stands on a laboratory's sheet, read.

Molar masses of N, O, NO3 and NO2 by the standard atomic weights (IUPAC); parts per million of a water
are milligrams per litre; 1 Bq is 1/0.037 pCi (SI).
"""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.analytes import ANALYTES, Result
from wellbook.hole.sheet import SheetError, read_recorded, read_sheet
from wellbook.hole.water_results import bacteria_told, read_bacteria, read_result
from wellbook.terms import Bacteria, SheetKind

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("word", "said", "result"),
    [
        ("nitrate_mg_l", 4.1, Result(4.1)),
        ("nitrate_mg_l", 4, Result(4)),
        ("nitrate_mg_l", "4.1", Result(4.1)),
        ("nitrate_mg_l", "4.1 mg/L", Result(4.1)),
        ("nitrate_mg_l", "4.1 mg/L as N", Result(4.1)),
        ("nitrate_mg_l", "4.1 mg/L N", Result(4.1)),
        ("nitrate_mg_l", "4.1 NO3-N", Result(4.1)),
        ("nitrate_mg_l", "44.268 mg/L as NO3", Result(10)),
        ("nitrate_mg_l", "44.268 mg/L NO3", Result(10)),
        ("nitrate_mg_l", "44.268 as nitrate", Result(10)),
        ("nitrite_mg_l", "3.28454 mg/L as NO2", Result(1)),
        ("nitrate_mg_l", "< 0.5", Result(0.5, True)),
        ("nitrate_mg_l", "<0.5 mg/L as N", Result(0.5, True)),
        ("nitrate_mg_l", "less than 0.5 ppm", Result(0.5, True)),
        ("nitrate_mg_l", "below 500 ppb", Result(0.5, True)),
        ("nitrate_mg_l", "not detected", Result(None, True)),
        ("nitrate_mg_l", "Not Detected", Result(None, True)),
        ("nitrate_mg_l", "non-detect", Result(None, True)),
        ("nitrate_mg_l", "ND", Result(None, True)),
        ("nitrate_mg_l", "N.D.", Result(None, True)),
        ("nitrate_mg_l", "BDL", Result(None, True)),
        ("nitrate_mg_l", "below detection limit", Result(None, True)),
        ("nitrate_mg_l", "ND (0.5)", Result(0.5, True)),
        ("nitrate_mg_l", "ND < 0.5 mg/L", Result(0.5, True)),
        ("nitrate_mg_l", "not detected at 0.5 mg/L", Result(0.5, True)),
        ("arsenic_mg_l", "0.004 mg/L", Result(0.004)),
        ("arsenic_mg_l", "12 ug/L", Result(0.012)),
        ("arsenic_mg_l", "12 µg/L", Result(0.012)),
        ("arsenic_mg_l", "12 ppb", Result(0.012)),
        ("lead_mg_l", "ND (1 ug/L)", Result(0.001, True)),
        ("uranium_ug_l", 30, Result(30)),
        ("uranium_ug_l", "0.03 mg/L", Result(30)),
        ("pfoa_ng_l", "4 ppt", Result(4)),
        ("pfos_ng_l", "0.004 ug/L", Result(4)),
        ("radium_pci_l", "5 pCi/L", Result(5)),
        ("radium_pci_l", "0.37 Bq/L", Result(10)),
        ("hardness_mg_l", "171.1806 mg/L as CaCO3", Result(171.1806)),
        ("hardness_mg_l", "10 gpg", Result(171.2)),
        # How laboratories mark what they did not find down to their limit (common practice).
        ("nitrate_mg_l", "0.050 U", Result(0.05, True)),
        ("nitrate_mg_l", "<0.050U mg/L", Result(0.05, True)),
        ("arsenic_mg_l", "1.0 U ug/L", Result(0.001, True)),
        ("ph", "7.2", Result(7.2)),
        ("ph", "7.2 SU", Result(7.2)),
        ("color_units", "15 CU", Result(15)),
        ("odor_ton", "3 TON", Result(3)),
        ("tds_mg_l", "1,200 ppm", Result(1200)),
    ],
)
def test_read(word: str, said: object, result: Result) -> None:
    found = read_result(word, said)
    assert found.below is result.below
    assert found.value == (None if result.value is None else pytest.approx(result.value, rel=1e-5))


@pytest.mark.parametrize(
    ("word", "said", "why"),
    [
        ("nitrate_mg_l", "some", "is not a quantity"),
        ("nitrate_mg_l", "> 25", "past the end of a scale"),
        ("nitrate_mg_l", "over 25", "past the end of a scale"),
        ("nitrate_mg_l", "4 mg/L as CaCO3", "nitrate is told as N or as NO3"),
        ("iron_mg_l", "0.4 mg/L as N", "iron is told as it is"),
        ("iron_mg_l", "0.4 pCi/L", "is an activity"),
        ("iron_mg_l", "0.4 furlongs", "is not a unit known here"),
        ("iron_mg_l", "-1", "less than nothing"),
        ("iron_mg_l", "nan", "is not a quantity"),
        ("iron_mg_l", float("inf"), "not a finite number"),
        ("iron_mg_l", True, "is not a number"),
        ("iron_mg_l", [1], "is not a number"),
        ("iron_mg_l", "<", "is not a quantity"),
        ("iron_mg_l", "1 2", "more than one value"),
    ],
)
def test_refused_in_a_line(word: str, said: object, why: str) -> None:
    with pytest.raises(ValueError, match=why) as caught:
        read_result(word, said)
    assert "\n" not in str(caught.value)


@given(st.sampled_from(sorted(ANALYTES)), st.text(max_size=40) | st.floats() | st.integers())
def test_whatever_is_typed_is_read_or_refused_in_a_line(word: str, said: object) -> None:
    try:
        found = read_result(word, said)
    except ValueError as error:
        assert "\n" not in str(error)
    else:
        assert found.value is not None or found.below


@given(st.sampled_from(sorted(ANALYTES)), st.floats(0.001, 10_000).map(lambda n: float(f"{n:.5g}")))
def test_what_is_shown_is_read_again(word: str, value: float) -> None:
    for result in (Result(value), Result(value, True), Result(None, True)):
        assert read_result(word, ANALYTES[word].said(result)) == result


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("absent", Bacteria.ABSENT),
        ("Negative", Bacteria.ABSENT),
        ("not detected", Bacteria.ABSENT),
        ("coliform absent", Bacteria.ABSENT),
        ("< 1 MPN/100 mL", Bacteria.ABSENT),
        ("<1.0 MPN/100 mL", Bacteria.ABSENT),
        ("0 CFU/100 mL", Bacteria.ABSENT),
        ("present", Bacteria.COLIFORM_PRESENT),
        ("coliform_present", Bacteria.COLIFORM_PRESENT),
        ("coliform present", Bacteria.COLIFORM_PRESENT),
        ("Total Coliform: present", Bacteria.COLIFORM_PRESENT),
        ("TNTC", Bacteria.COLIFORM_PRESENT),
        ("7 MPN/100 mL", Bacteria.COLIFORM_PRESENT),
        ("> 2,419.6 MPN/100 mL", Bacteria.COLIFORM_PRESENT),
        ("ecoli present", Bacteria.ECOLI_PRESENT),
        ("ecoli_present", Bacteria.ECOLI_PRESENT),
        ("E. coli present", Bacteria.ECOLI_PRESENT),
        ("E.coli positive", Bacteria.ECOLI_PRESENT),
        ("E. coli 3 MPN/100 mL", Bacteria.ECOLI_PRESENT),
        ("Absent/100 mL", Bacteria.ABSENT),
        ("E. coli: Present per 100 mL", Bacteria.ECOLI_PRESENT),
    ],
)
def test_bacteria(said: str, found: Bacteria) -> None:
    assert read_bacteria(said) is found


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("7", "is no result for bacteria"),
        (7, "is no result for bacteria"),
        ("maybe", "is no result for bacteria"),
        ("", "is no result for bacteria"),
        ("< 10 MPN/100 mL", "does not say that there are none"),
        ("E. coli absent", "says nothing of other coliform"),
    ],
)
def test_bacteria_that_cannot_be_read(said: object, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        read_bacteria(said)


@pytest.mark.parametrize(
    ("word", "said", "shown"),
    [
        ("hardness_mg_l", "12 gpg", "205.4 mg/L"),
        ("hardness_mg_l", "12 grains/gal", "205.4 mg/L"),
        ("nitrate_mg_l", "18 mg/L as NO3", "4.066 mg/L"),
        ("tds_mg_l", "1234.5 mg/L", "1234.5 mg/L"),
    ],
)
def test_a_conversion_makes_no_digits_that_nobody_read(word: str, said: str, shown: str) -> None:
    assert ANALYTES[word].said(read_result(word, said)) == shown


@given(st.text(max_size=40))
def test_whatever_is_typed_of_bacteria_is_read_or_refused(said: str) -> None:
    try:
        assert read_bacteria(said) in Bacteria
    except ValueError as error:
        assert "\n" not in str(error)


@pytest.mark.parametrize(
    ("coliform", "ecoli", "found"),
    [
        ("absent", "absent", Bacteria.ABSENT),
        ("present", "absent", Bacteria.COLIFORM_PRESENT),
        ("present", "present", Bacteria.ECOLI_PRESENT),
        ("", "< 1 MPN/100 mL", None),
        ("12 MPN/100 mL", "2 MPN/100 mL", Bacteria.ECOLI_PRESENT),
        ("12 MPN/100 mL", "< 1 MPN/100 mL", Bacteria.COLIFORM_PRESENT),
    ],
)
def test_coliform_and_e_coli_told_apart(coliform: str, ecoli: str, found: Bacteria | None) -> None:
    said = bacteria_told(coliform, ecoli)
    if found is None:
        with pytest.raises(ValueError, match="other coliform"):
            read_bacteria(said)
    else:
        assert read_bacteria(said) is found


# -- in a sheet -----------------------------------------------------------------------------------


def sheet(**sample: object) -> dict[str, object]:
    return {"date": "2026-11-20", "reason": "water sample", "sample": [sample]}


def test_a_sheet_takes_any_analyte_and_keeps_their_order() -> None:
    said = read_sheet(sheet(iron_mg_l="< 0.05", nitrate_mg_l=4.1, bacteria="absent"), today=TODAY)
    (one,) = said.samples
    assert one.bacteria is Bacteria.ABSENT
    assert list(one.results.items()) == [
        ("nitrate_mg_l", Result(4.1)),
        ("iron_mg_l", Result(0.05, True)),
    ]


@pytest.mark.parametrize(
    ("sample", "where", "why"),
    [
        ({"ph": 40}, "ph", "pH 40 cannot be; it lies between 0 and 14"),
        ({"arsenic_mg_l": 12_000}, "arsenic_mg_l", "arsenic 12,000 mg/L cannot be"),
        ({"iron": 0.3}, "iron", "did you mean 'iron_mg_l'"),
        ({"results": {}}, "results", "is not known here"),
        ({"bacteria": 7}, "bacteria", "is no result for bacteria"),
        ({"nitrate_mg_l": "lots"}, "nitrate_mg_l", "is not a quantity"),
        ({"laboratory": ["A"]}, "laboratory", "a line of text"),
    ],
)
def test_a_sheet_names_the_place_of_a_mistake(
    sample: dict[str, object], where: str, why: str
) -> None:
    with pytest.raises(SheetError) as caught:
        read_sheet(sheet(**sample), today=TODAY)
    (mistake,) = caught.value.mistakes
    assert mistake.where == f"sample[1].{where}"
    assert why in mistake.message


def test_a_line_left_blank_says_nothing() -> None:
    (one,) = read_sheet(sheet(nitrate_mg_l="", bacteria=""), today=TODAY).samples
    assert (one.bacteria, one.results) == (None, {})


def test_what_is_on_record_stays_readable_past_a_limit() -> None:
    (one,) = read_recorded(sheet(ph=40), today=TODAY, kind=SheetKind.VISIT).samples
    assert one.results == {"ph": Result(40)}
