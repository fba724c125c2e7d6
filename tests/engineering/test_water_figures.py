"""Published figures on what is in a water.

40 CFR 141.62, 141.63, 141.66, 141.2, 141.80, 142.63(b), 143.3; 89 Fed. Reg. 32532 (2024); Minnesota
Department of Health RAA12; hardness scales of the U.S. Geological Survey and the Vermont Department
of Health; methane, Office of Surface Mining 2001. Where a file of published values stands beside the
checkout, every row of it on water is held against the program, or named here with why not.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference_files import SERVICE, beside_them, each, published

from wellbook.engineering.analytes import ANALYTES, BY_NAME, Result, plain_name, the_analyte
from wellbook.engineering.water_figures import (
    BACTERIA_TEXTS,
    FIGURES,
    Against,
    Figure,
    Sort,
    compare,
    comparisons,
    hardness_class,
    methane_band,
    nitrogen,
)
from wellbook.hole.water_results import read_result
from wellbook.quantities import read

PRINTED = [
    ("nitrate_mg_l", Sort.MCL, 10, "141.62(b)(7)"),
    ("nitrite_mg_l", Sort.MCL, 1, "141.62(b)(8)"),
    ("nitrate_nitrite_mg_l", Sort.MCL, 10, "141.62(b)(9)"),
    ("arsenic_mg_l", Sort.MCL, 0.010, "141.62(b)(16)"),
    ("fluoride_mg_l", Sort.MCL, 4.0, "141.62(b)(1)"),
    ("fluoride_mg_l", Sort.SECONDARY, 2.0, "143.3"),
    ("uranium_ug_l", Sort.MCL, 30, "141.66(e)"),
    ("radium_pci_l", Sort.MCL, 5, "141.66(b)"),
    ("gross_alpha_pci_l", Sort.MCL, 15, "141.66(c)"),
    ("copper_mg_l", Sort.ACTION_LEVEL, 1.3, "141.80"),
    ("copper_mg_l", Sort.SECONDARY, 1.0, "143.3"),
    ("pfoa_ng_l", Sort.MCL, 4.0, "32532"),
    ("pfos_ng_l", Sort.MCL, 4.0, "32532"),
    ("iron_mg_l", Sort.SECONDARY, 0.3, "143.3"),
    ("manganese_mg_l", Sort.SECONDARY, 0.05, "143.3"),
    ("chloride_mg_l", Sort.SECONDARY, 250, "143.3"),
    ("sulfate_mg_l", Sort.SECONDARY, 250, "143.3"),
    ("tds_mg_l", Sort.SECONDARY, 500, "143.3"),
    ("zinc_mg_l", Sort.SECONDARY, 5, "143.3"),
    ("silver_mg_l", Sort.SECONDARY, 0.1, "143.3"),
    ("foaming_agents_mg_l", Sort.SECONDARY, 0.5, "143.3"),
    ("color_units", Sort.SECONDARY, 15, "143.3"),
    ("odor_ton", Sort.SECONDARY, 3, "143.3"),
]
"""Analyte, what the figure is, the figure, and a part of its section."""


def figures(word: str, sort: Sort) -> list[Figure]:
    return [f for f in FIGURES[word] if f.sort is sort]


@pytest.mark.parametrize(("word", "sort", "most", "section"), PRINTED)
def test_figures_as_printed(word: str, sort: Sort, most: float, section: str) -> None:
    (figure,) = figures(word, sort)
    assert figure.most == most
    assert section in figure.section
    assert compare(Result(most), figure).against is Against.NOT_ABOVE
    assert compare(Result(most * 1.001), figure).against is Against.ABOVE


def test_lead_has_the_text_of_2024_and_the_one_before() -> None:
    held = comparisons("lead_mg_l", Result(0.012))
    assert [(c.figure.most, c.figure.year, c.against) for c in held] == [
        (0.010, 2024, Against.ABOVE),
        (0.015, 1991, Against.NOT_ABOVE),
    ]
    assert all("141.2" in c.text and "compared with" in c.text for c in held)


@pytest.mark.parametrize(
    ("value", "stands"),
    [(6.49, Against.UNDER), (6.5, Against.WITHIN), (8.5, Against.WITHIN), (8.51, Against.ABOVE)],
)
def test_ph_is_a_range(value: float, stands: Against) -> None:
    """40 CFR 143.3: 6.5 to 8.5."""
    assert comparisons("ph", Result(value))[0].against is stands


@pytest.mark.parametrize(
    ("value", "stands"),
    [
        (0.049, Against.NOT_ABOVE),
        (0.05, Against.WITHIN),
        (0.2, Against.WITHIN),
        (0.201, Against.ABOVE),
    ],
)
def test_aluminum_is_a_range_in_which_the_figure_is_set(value: float, stands: Against) -> None:
    """40 CFR 143.3: 0.05 to 0.2 mg/L."""
    assert comparisons("aluminum_mg_l", Result(value))[0].against is stands


@pytest.mark.parametrize(
    ("result", "stands"),
    [
        (Result(0.5, below=True), Against.NOT_ABOVE),
        (Result(10, below=True), Against.NOT_ABOVE),
        (Result(20, below=True), Against.CANNOT_SAY),
        (Result(None, below=True), Against.CANNOT_SAY),
    ],
)
def test_not_detected_says_as_much_as_its_reporting_limit(result: Result, stands: Against) -> None:
    held = comparisons("nitrate_mg_l", result)[0]
    assert held.against is stands
    assert bool(held.why) is (stands is Against.CANNOT_SAY)


@pytest.mark.parametrize(
    ("word", "limit", "stands"),
    [
        ("ph", 6.5, Against.UNDER),
        ("ph", 8.5, Against.CANNOT_SAY),
        ("aluminum_mg_l", 0.05, Against.NOT_ABOVE),
        ("aluminum_mg_l", 0.1, Against.CANNOT_SAY),
        ("methane_mg_l", 10, Against.NOT_ABOVE),
        ("methane_mg_l", 20, Against.CANNOT_SAY),
    ],
)
def test_not_detected_against_a_range(word: str, limit: float, stands: Against) -> None:
    assert comparisons(word, Result(limit, below=True))[0].against is stands


@given(st.floats(0, 1e4), st.booleans(), st.sampled_from(sorted(FIGURES)))
def test_no_comparison_calls_a_water_safe(value: float, below: bool, word: str) -> None:
    for held in comparisons(word, Result(value, below)):
        assert held.text.startswith("compared with ")
        assert "safe" not in held.text.lower()


@given(st.floats(0, 100), st.floats(0, 100), st.sampled_from(sorted(FIGURES)))
def test_less_is_never_above_where_more_is_not(one: float, two: float, word: str) -> None:
    low, high = sorted((one, two))
    for figure in FIGURES[word]:
        if compare(Result(low), figure).against is Against.ABOVE:
            assert compare(Result(high), figure).against is Against.ABOVE


def test_figures_of_one_analyte_stand_the_gravest_first() -> None:
    order = list(Sort)
    for listed in FIGURES.values():
        assert [order.index(f.sort) for f in listed] == sorted(order.index(f.sort) for f in listed)


@pytest.mark.parametrize(
    ("nitrate", "nitrite", "stands"),
    [
        (Result(9.5), Result(0.5), Against.NOT_ABOVE),
        (Result(9.5), Result(0.6), Against.ABOVE),
        (Result(9.5), Result(0.5, below=True), Against.NOT_ABOVE),
        (Result(9.5), Result(0.6, below=True), Against.CANNOT_SAY),
        (Result(9.5), Result(None, below=True), Against.CANNOT_SAY),
    ],
)
def test_nitrate_and_nitrite_together(nitrate: Result, nitrite: Result, stands: Against) -> None:
    """40 CFR 141.62(b)(9): 10 mg/L of both as nitrogen."""
    together = nitrogen(nitrate, nitrite)
    assert comparisons("nitrate_nitrite_mg_l", together)[0].against is stands


# -- names ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ("NO3-N", "nitrate_mg_l"),
        ("As", "arsenic_mg_l"),
        ("fe", "iron_mg_l"),
        ("Mn", "manganese_mg_l"),
        ("Total Dissolved Solids", "tds_mg_l"),
        ("iron_mg_l", "iron_mg_l"),
        ("gross-alpha", "gross_alpha_pci_l"),
        ("radium 226+228", "radium_pci_l"),
        ("aluminium", "aluminum_mg_l"),
        ("PH", "ph"),
    ],
)
def test_names_are_forgiven(said: str, word: str) -> None:
    assert the_analyte(said).word == word


def test_no_name_is_of_two_analytes() -> None:
    names = [plain_name(n) for a in ANALYTES.values() for n in {a.word, a.label, *a.names}]
    assert {BY_NAME[plain_name(a.label)] for a in ANALYTES.values()} == set(ANALYTES.values())
    assert {BY_NAME[plain_name(n)].word for a in ANALYTES.values() for n in a.names}
    for name in names:
        owners = {
            a.word
            for a in ANALYTES.values()
            if name in {plain_name(n) for n in (a.word, a.label, *a.names)}
        }
        assert len(owners) == 1, (name, owners)


def test_a_name_that_is_none_is_answered_with_what_is_near() -> None:
    with pytest.raises(ValueError, match=r"near it: manganese$"):
        the_analyte("manganes")
    with pytest.raises(ValueError, match="there are: bacteria, nitrate, nitrite"):
        the_analyte("xyzzy")
    with pytest.raises(ValueError, match="18 mg/L as NO3"):
        the_analyte("no3")


# -- the file of published values -----------------------------------------------------------------

_NAMED = {
    "nitrate as N": "nitrate",
    "nitrite as N": "nitrite",
    "lead action level, 141.2 after 2024 rule": "lead",
    "lead action level before 2024 rule": "lead",
    "copper action level": "copper",
    "radium 226+228": "radium",
}


def _limit(check: dict[str, Any]) -> dict[str, Any]:
    """The figure of the program that the row is of, in the row's unit."""
    name = check["inputs"]["analyte"]
    analyte = the_analyte(_NAMED.get(name, name))
    sort = {"mcl": Sort.MCL, "al": Sort.ACTION_LEVEL, "smcl": Sort.SECONDARY}
    found = figures(analyte.word, sort[check["id"].split("-")[0]])
    if check["id"] == "smcl-ph":
        return {"low": found[0].least, "high": found[0].most}
    figure = found["before" in name]
    return {"limit": figure.most, "unit": analyte.unit}


def _manganese(check: dict[str, Any]) -> dict[str, float]:
    infants, others = (
        next(f.most for f in figures("manganese_mg_l", Sort.GUIDANCE) if f.who == who)
        for who in ("infants", "all but infants")
    )
    return {"infant on tap water": infants * 1000, "all others": others * 1000}


def _coliform(_: dict[str, Any]) -> bool:
    return "had no limit of its own since 2016" not in BACTERIA_TEXTS[1]


def _gpg(check: dict[str, Any]) -> dict[str, float]:
    told = read_result("hardness_mg_l", "10 gpg").value
    assert told is not None
    return {"gpg": check["inputs"]["mgL"] / told * 10}


def _hardness(scale: str) -> Callable[[dict[str, Any]], str]:
    return lambda check: hardness_class(check["inputs"]["mgL_CaCO3"], scale)


HERE: dict[str, Callable[[dict[str, Any]], Any]] = {
    "mcl-tc-status": _coliform,
    "mcl-": _limit,
    "al-": _limit,
    "smcl-": _limit,
    "mn-manganese": _manganese,
    "hard-usgs-": _hardness("USGS"),
    "hard-vt-": _hardness("Vermont"),
    "hard-gpg": _gpg,
    "methane-10": lambda check: methane_band(check["inputs"]["mgL"]),
    "methane-28": lambda check: methane_band(check["inputs"]["mgL"]),
}
ELSEWHERE = {
    "retest-": "the wait after disinfection is a number of the rule samples-owed, with these three",
    "clean-MD-": "tests/rules/test_rule_samples_owed.py, by days",
    "clean-VA-": "tests/rules/test_rule_samples_owed.py; how many a positive asks for is not in print",
    "clean-FL": "sampling days of a public system: the shop's well has its own threshold",
    "wi-notify": "a deadline of the paper that goes to the owner, not of a result",
    "wi-sample-map": "which sample which job owes in one state: a coliform sample after any opening",
    "methane-lel": "a caution (5 to 15 % in air), no result in water",
}
"""Rows that the program meets elsewhere, or has no use for, and why."""
OF_WATER = ("mcl-", "al-", "smcl-", "hard-", "methane-", "mn-", "clean-", "retest-", "wi-")


def _start(table: dict[str, Any], check_id: str) -> str | None:
    return next((start for start in table if check_id.startswith(start)), None)


@pytest.mark.parametrize("check", each(SERVICE, lambda c: _start(HERE, c["id"]) is not None))
def test_published_row(check: dict[str, Any]) -> None:
    start = _start(HERE, check["id"])
    assert start is not None
    got, expected = HERE[start](check), check["expected"]
    if isinstance(expected, dict):
        expected = {name: one for name, one in expected.items() if name in got}
        assert expected
        for name, one in expected.items():
            assert got[name] == (
                one if isinstance(one, str) else pytest.approx(one, abs=check["tolerance"] or 1e-9)
            )
    else:
        assert got == expected


@beside_them
def test_no_row_on_water_is_lost() -> None:
    rows = [c["id"] for c in published(SERVICE) if c["id"].startswith(OF_WATER)]
    assert [r for r in rows if not (_start(HERE, r) or _start(ELSEWHERE, r))] == []
    assert all(any(r.startswith(start) for r in rows) for start in (*HERE, *ELSEWHERE))


def test_scales_differ_and_are_named() -> None:
    """USGS 60, 120, 180; Vermont 75, 150, 300 mg/L as CaCO3; 17.1 mg/L is a grain a gallon."""
    edges = [60, 60.1, 120, 120.1, 180, 180.1]
    assert [hardness_class(n) for n in edges] == [
        "soft",
        "moderately hard",
        "moderately hard",
        "hard",
        "hard",
        "very hard",
    ]
    assert hardness_class(70, "Vermont") == "soft"
    assert read("1 gpg", "mg_l") == pytest.approx(17.1, abs=0.02)
    with pytest.raises(ValueError, match="below zero"):
        hardness_class(-1)
