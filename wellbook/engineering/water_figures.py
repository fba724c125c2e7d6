"""What is published on the substances in a water, and how a result compares with it.

The federal limits bind public systems. For a private well they are yardsticks: a result is "compared
with" a figure, and nothing here says that a water may or may not be drunk.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from wellbook.engineering._checks import non_negative
from wellbook.engineering.analytes import (
    ANALYTES,
    BOTH,
    LEAD,
    METHANE,
    NITRATE,
    NITRITE,
    Result,
)


class Sort(StrEnum):
    """What a published figure is."""

    MCL = "MCL"
    ACTION_LEVEL = "action level"
    GUIDANCE = "guidance"
    SECONDARY = "secondary standard"
    ADVICE = "advice"


class Against(StrEnum):
    """How a result stands against a figure."""

    ABOVE = "above"
    UNDER = "below the range"
    WITHIN = "within the range"
    NOT_ABOVE = "not above"
    CANNOT_SAY = "cannot be said"


@dataclass(frozen=True, slots=True)
class Figure:
    """One published figure of one analyte, in the analyte's unit.

    Parameters
    ----------
    analyte
        Its word.
    most
        What a result is above, or not.
    sort
        What kind of figure it is.
    section
        Where it stands: a section of the law, or the body that gives it.
    year
        Of the rule or the text that gave the figure.
    least
        Of pH: what a result is below, or not.
    begins
        Of a range: where it begins; `most` is its end.
    who
        For whom it is, where it is not for everybody.

    Source: none, a record.
    """

    analyte: str
    most: float
    sort: Sort
    section: str
    year: int
    least: float | None = None
    begins: float | None = None
    who: str = ""

    @property
    def limits(self) -> str:
        """The figure with its unit, or its range.

        >>> FIGURES["ph"][0].limits, FIGURES["nitrate_mg_l"][0].limits
        ('6.5 to 8.5', '10 mg/L')
        """
        begins = self.begins if self.least is None else self.least
        most = ANALYTES[self.analyte].shown(self.most)
        return most if begins is None else f"{begins:g} to {most}"

    @property
    def named(self) -> str:
        """The figure with what it is and where it stands.

        >>> FIGURES["nitrate_mg_l"][0].named
        '10 mg/L (MCL, 40 CFR 141.62(b)(7))'
        """
        return self._with(self.sort)

    @property
    def for_the_owner(self) -> str:
        """The same without the trade's short words, and whom the figure binds.

        >>> FIGURES["nitrate_mg_l"][0].for_the_owner
        '10 mg/L (federal limit for public systems, 40 CFR 141.62(b)(7))'
        """
        return self._with(_TO_THE_OWNER.get(self.sort, self.sort))

    def _with(self, sort: str) -> str:
        who = f" for {self.who}" if self.who else ""
        return f"{self.limits} ({sort}{who}, {self.section})"


_TO_THE_OWNER = {
    Sort.MCL: "federal limit for public systems",
    Sort.ACTION_LEVEL: "federal action level for public systems",
}


@dataclass(frozen=True, slots=True)
class Comparison:
    """A result held against one figure.

    Source: none, a record of what `compare` finds.
    """

    figure: Figure
    against: Against
    why: str = ""

    @property
    def text(self) -> str:
        """In words.

        >>> compare(Result(4.1), FIGURES["nitrate_mg_l"][0]).text
        'compared with 10 mg/L (MCL, 40 CFR 141.62(b)(7)): not above'
        """
        why = f": {self.why}" if self.why else ""
        return f"compared with {self.figure.named}: {self.against}{why}"


def compare(result: Result, figure: Figure) -> Comparison:
    """One result held against one figure of its analyte.

    A figure is met by what equals it. What was not detected is known only down to the laboratory's
    reporting limit: where that is above the figure, or not on the report, nothing can be said.

    Parameters
    ----------
    result
        In the unit of the figure's analyte.
    figure
        One of `FIGURES`.

    Returns
    -------
    Comparison
        With why, where it cannot be said.

    Raises
    ------
    ValueError
        Where the figure is of no analyte that is known.

    Source: 40 CFR 141.2 (a maximum contaminant level is the maximum permissible level).

    >>> nitrate = FIGURES["nitrate_mg_l"][0]
    >>> [str(compare(Result(n), nitrate).against) for n in (10, 10.1)]
    ['not above', 'above']
    >>> compare(Result(20, below=True), nitrate).why
    "the laboratory's reporting limit, 20 mg/L, is above the figure"
    """
    if result.below or result.value is None:
        return _of_none_found(result, figure)
    value = result.value
    if value > figure.most:
        return Comparison(figure, Against.ABOVE)
    if figure.least is not None:
        return Comparison(figure, Against.UNDER if value < figure.least else Against.WITHIN)
    within = figure.begins is not None and value >= figure.begins
    return Comparison(figure, Against.WITHIN if within else Against.NOT_ABOVE)


def _of_none_found(result: Result, figure: Figure) -> Comparison:
    limit = result.value
    if limit is None:
        return Comparison(figure, Against.CANNOT_SAY, "no reporting limit is on record")
    if figure.least is not None and limit <= figure.least:
        return Comparison(figure, Against.UNDER)
    edge = figure.most if figure.begins is None else figure.begins
    if figure.least is None and limit <= edge:
        return Comparison(figure, Against.NOT_ABOVE)
    if figure.analyte not in ANALYTES:
        raise ValueError(f"analyte: '{figure.analyte}' is not looked for in a water")
    shown = ANALYTES[figure.analyte].shown(limit)
    return Comparison(
        figure,
        Against.CANNOT_SAY,
        f"the laboratory's reporting limit, {shown}, is above the figure",
    )


def comparisons(word: str, result: Result) -> list[Comparison]:
    """A result held against every figure of its analyte, the gravest first.

    Parameters
    ----------
    word
        The analyte's.
    result
        In its unit.

    Returns
    -------
    list of Comparison
        None of an analyte that has no published figure here.

    Source: that of each figure.

    >>> [str(c.against) for c in comparisons("fluoride_mg_l", Result(2.5))]
    ['not above', 'above']
    """
    return [compare(result, figure) for figure in FIGURES.get(word, ())]


def nitrogen(nitrate: Result, nitrite: Result) -> Result:
    """Nitrate and nitrite of one sample together.

    Parameters
    ----------
    nitrate, nitrite
        Both in mg/L as nitrogen.

    Returns
    -------
    Result
        Where one was not detected, the most that both can be; where that is not known, not detected
        and without a reporting limit, unless what was found of the other decides it alone.

    Source: 40 CFR 141.62(b)(9): the limit is of their sum.

    >>> nitrogen(Result(9.8), Result(0.4)), nitrogen(Result(9.8), Result(0.5, below=True))
    (Result(value=10.2, below=False), Result(value=10.3, below=True))
    """
    if nitrate.value is None or nitrite.value is None:
        return Result(None, below=True)
    total = float(f"{nitrate.value + nitrite.value:.12g}")
    return Result(total, below=nitrate.below or nitrite.below)


# The years are those of the rules that gave the figures. They are from memory but for lead, PFOA
# and PFOS, manganese and methane; the figures and sections were read, some paragraph numbers of
# 141.62 partly from memory.
_MCL, _SMCL = "40 CFR 141.62(b)", "40 CFR 143.3"
_PFAS = "89 Fed. Reg. 32532 (2024)"
_LISTED = (
    Figure(NITRATE, 10, Sort.MCL, f"{_MCL}(7)", 1991),
    Figure(NITRITE, 1, Sort.MCL, f"{_MCL}(8)", 1991),
    Figure(BOTH, 10, Sort.MCL, f"{_MCL}(9)", 1991),
    Figure("arsenic_mg_l", 0.010, Sort.MCL, f"{_MCL}(16)", 2001),
    Figure(LEAD, 0.010, Sort.ACTION_LEVEL, "40 CFR 141.2, text of 2024", 2024),
    Figure(LEAD, 0.015, Sort.ACTION_LEVEL, "40 CFR 141.2, text of 1991 to 2024", 1991),
    Figure("copper_mg_l", 1.3, Sort.ACTION_LEVEL, "40 CFR 141.80", 1991),
    Figure("copper_mg_l", 1.0, Sort.SECONDARY, _SMCL, 1979),
    Figure("uranium_ug_l", 30, Sort.MCL, "40 CFR 141.66(e)", 2000),
    Figure("radium_pci_l", 5, Sort.MCL, "40 CFR 141.66(b)", 2000),
    Figure("gross_alpha_pci_l", 15, Sort.MCL, "40 CFR 141.66(c)", 2000),
    Figure("fluoride_mg_l", 4.0, Sort.MCL, f"{_MCL}(1)", 1986),
    Figure("fluoride_mg_l", 2.0, Sort.SECONDARY, _SMCL, 1986),
    Figure("pfoa_ng_l", 4.0, Sort.MCL, _PFAS, 2024),
    Figure("pfos_ng_l", 4.0, Sort.MCL, _PFAS, 2024),
    Figure(METHANE, 28, Sort.ADVICE, "Office of Surface Mining, 2001", 2001, begins=10),
    Figure("iron_mg_l", 0.3, Sort.SECONDARY, _SMCL, 1979),
    Figure(
        "manganese_mg_l",
        0.3,
        Sort.GUIDANCE,
        "Minnesota Department of Health, 2012",
        2012,
        who="all but infants",
    ),
    Figure(
        "manganese_mg_l",
        0.1,
        Sort.GUIDANCE,
        "Minnesota Department of Health, 2012",
        2012,
        who="infants",
    ),
    Figure("manganese_mg_l", 0.05, Sort.SECONDARY, _SMCL, 1979),
    Figure("ph", 8.5, Sort.SECONDARY, _SMCL, 1979, least=6.5),
    Figure("chloride_mg_l", 250, Sort.SECONDARY, _SMCL, 1979),
    Figure("sulfate_mg_l", 250, Sort.SECONDARY, _SMCL, 1979),
    Figure("tds_mg_l", 500, Sort.SECONDARY, _SMCL, 1979),
    Figure("zinc_mg_l", 5, Sort.SECONDARY, _SMCL, 1979),
    Figure("silver_mg_l", 0.1, Sort.SECONDARY, _SMCL, 1991),
    Figure("aluminum_mg_l", 0.2, Sort.SECONDARY, _SMCL, 1991, begins=0.05),
    Figure("foaming_agents_mg_l", 0.5, Sort.SECONDARY, _SMCL, 1979),
    Figure("color_units", 15, Sort.SECONDARY, _SMCL, 1979),
    Figure("odor_ton", 3, Sort.SECONDARY, _SMCL, 1979),
)

FIGURES: Final[dict[str, tuple[Figure, ...]]] = {
    word: tuple(f for f in _LISTED if f.analyte == word) for word in ANALYTES
}
"""An analyte's word -> its figures, the gravest first; none of what has no figure here."""

BACTERIA_TEXTS: Final = (
    "compared with: E. coli must be absent (MCL, 40 CFR 141.63)",
    "compared with: total coliform has had no limit of its own since 2016; present is tested again"
    " (40 CFR 142.63(b))",
)
"""What is published on bacteria, which have no number."""


# ------------------------------------------------------------------------------- scales

_NAMES = ("soft", "moderately hard", "hard", "very hard")
HARDNESS_SCALES: Final = {"USGS": (60, 120, 180), "Vermont": (75, 150, 300)}
"""A scale's name -> the most that is soft, moderately hard and hard, mg/L as CaCO3.

U.S. Geological Survey (breaks read in a secondary table, whole edges from memory); Vermont
Department of Health. They differ, so a class is never said without its scale.
"""


def hardness_class(mg_l: float, scale: str = "USGS") -> str:
    """What a hardness is called on a scale.

    Parameters
    ----------
    mg_l
        Hardness, mg/L as calcium carbonate.
    scale
        One of `HARDNESS_SCALES`.

    Raises
    ------
    ValueError
        Where the hardness is below zero or no number, or there is no such scale.

    Source: U.S. Geological Survey; Vermont Department of Health.

    >>> hardness_class(150), hardness_class(150, "Vermont")
    ('hard', 'moderately hard')
    """
    value = non_negative(mg_l, "mg_l")
    if scale not in HARDNESS_SCALES:
        raise ValueError(f"scale: '{scale}' is none of {', '.join(HARDNESS_SCALES)}")
    edges = HARDNESS_SCALES[scale]
    return next((n for n, edge in zip(_NAMES, edges, strict=False) if value <= edge), _NAMES[-1])


_BANDS = {
    Against.NOT_ABOVE: "no immediate action",
    Against.WITHIN: "concern",
    Against.ABOVE: "act at once",
}


def methane_band(mg_l: float) -> str:
    """What is advised on methane dissolved in a water; it burns at 5 to 15 % in air.

    Parameters
    ----------
    mg_l
        Dissolved methane, mg/L.

    Raises
    ------
    ValueError
        Where it is below zero or no number.

    Source: Office of Surface Mining, 2001: below 10 mg/L no immediate action, above 28 at once.

    >>> methane_band(9.9), methane_band(10), methane_band(28), methane_band(28.1)
    ('no immediate action', 'concern', 'concern', 'act at once')
    """
    return _BANDS[compare(Result(non_negative(mg_l, "mg_l")), FIGURES[METHANE][0]).against]
