"""Insulation resistance of a motor and its cable: what the published tables say, and the trend.

Two tables are in print, and between 0.02 and 0.5 megohm they give opposite advice; so a reading is
answered with both, each by its name, and a single reading is weighed with those before it. (An
older edition still put the line of damage at 1.0 megohm.) All readings are by a 500 V DC tester
with the power off, locked out, and the motor leads off the control box.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final

from wellbook.engineering._checks import finite, non_negative, positive

# A tester's highest range is some teraohms.
MAX_MEGOHM: Final = 1e7
MAX_RATED_KV: Final = 100.0

SPLICE_AFTER_AN_HOUR_IN_WATER_MEGOHM: Final = 50.0
"""What a splice should read at the least after an hour under water (a maker's instructions)."""

FALLING_RATIO: Final = 0.5
"""A proposal, with no published limit behind it: a fall to half or less is worth a line."""


@dataclass(frozen=True, slots=True)
class InsulationWord:
    """What one published table says of a reading.

    `table` names the table; `band` is its word in short; `advice` what it advises; `pull` whether
    it would have the pump pulled for this reading alone.

    Source: none, a record of one row.

    >>> insulation_reading(0.1).current.pull
    True
    """

    table: str
    band: str
    advice: str
    pull: bool


@dataclass(frozen=True, slots=True)
class InsulationReading:
    """A reading of motor and cable in the well, and what both published tables say of it.

    Source: none, a record of what insulation_reading finds.

    >>> insulation_reading(0.1).tables_disagree
    True
    """

    megohm: float
    current: InsulationWord
    older: InsulationWord

    @property
    def words(self) -> tuple[InsulationWord, InsulationWord]:
        """What each table says, the current one first."""
        return self.current, self.older

    @property
    def tables_disagree(self) -> bool:
        """Whether one would pull the pump for this reading alone, and the other not."""
        return self.current.pull != self.older.pull


@dataclass(frozen=True, slots=True)
class InsulationTrend:
    """The newest reading beside those before it.

    `before_megohm` is the median of the earlier ones, `years` the time from the first to the
    newest, `ratio` newest over before (None where before is zero).

    Source: none, a record of what insulation_trend works out.

    >>> insulation_trend([(2019.5, 48), (2026.4, 1.1)]).falling
    True
    """

    before_megohm: float
    newest_megohm: float
    years: float
    ratio: float | None
    falling: bool


CURRENT_TABLE: Final = "motor and cable in the well, 500 V DC: current table of 3 bands"
OLDER_TABLE: Final = "motor and cable in the well, 500 V DC: older table of 5 bands"
ALONE_TABLE: Final = "motor out of the well, without its cable"

# Least megohms of the band, its word, the advice, and whether to pull for it; from the best down.
_Band = tuple[float, str, str, bool]
_CURRENT: Final[tuple[_Band, ...]] = (
    (2.0, "new", "as of a new motor, or of one in good condition", False),
    (0.5, "good", "reasonably good for a motor that has been in the well", False),
    (0.0, "damage", "insulation damage: locate and repair", True),
)
_OLDER: Final[tuple[_Band, ...]] = (
    *_CURRENT[:2],
    (0.02, "doubtful", "damaged leads or lightning: do not pull for this alone", False),
    (0.01, "damaged", "definitely damaged: pull and repair", True),
    (0.0, "failed", "failed, or the cable's insulation is destroyed: pull", True),
)
_ALONE: Final[tuple[_Band, ...]] = (
    (200.0, "new", "as of a new motor (an older edition: 20 megohms)", False),
    (10.0, "reusable", "can be set again", False),
    (0.0, "damage", "not to be set again", True),
)

IEEE43_WINDINGS: Final = ("before_1970", "random_wound", "form_wound")
IEEE43_SUBJECTS: Final = ("motor_alone", "motor_and_cable_in_well")


def insulation_reading(megohm: float) -> InsulationReading:
    """What the two published tables say of a reading of motor and cable in the well.

    Parameters
    ----------
    megohm
        Insulation resistance to ground, megohms; zero is a dead short.

    Returns
    -------
    InsulationReading
        Each table's word and advice.

    Raises
    ------
    ValueError
        Where megohm is negative, not finite or absurd.

    Source: makers' tables only (two makers agree on each); no standard covers motor and cable in
    a well together.

    >>> [(word.band, word.pull) for word in insulation_reading(0.3).words]
    [('damage', True), ('doubtful', False)]
    """
    reading = non_negative(megohm, "megohm", at_most=MAX_MEGOHM)
    return InsulationReading(
        reading, _word(CURRENT_TABLE, _CURRENT, reading), _word(OLDER_TABLE, _OLDER, reading)
    )


def motor_alone_reading(megohm: float) -> InsulationWord:
    """What the published table says of a motor out of the well, without its cable.

    Parameters
    ----------
    megohm
        Insulation resistance to ground, megohms.

    Returns
    -------
    InsulationWord
        The word and the advice.

    Raises
    ------
    ValueError
        Where megohm is negative, not finite or absurd.

    Source: makers' tables; older editions call 20 megohms new.

    >>> motor_alone_reading(15).band
    'reusable'
    """
    return _word(ALONE_TABLE, _ALONE, non_negative(megohm, "megohm", at_most=MAX_MEGOHM))


def insulation_trend(
    readings: Sequence[tuple[float, float]], *, falling_ratio: float = FALLING_RATIO
) -> InsulationTrend:
    """Whether the newest reading has fallen against the median of those before it.

    The median, because one wet or careless reading must not make a trend. A motor that ran just
    before reads lower: resistance halves with each 10 C or so of the winding.

    Parameters
    ----------
    readings
        Of each its date as a year (2026.4) and its megohms, in any order; at least two.
    falling_ratio
        Newest over before, at or below which it is called falling.

    Returns
    -------
    InsulationTrend
        Both values in megohms, the years between, and the verdict.

    Raises
    ------
    ValueError
        Where there are fewer than two readings, a number is not finite, a reading is negative or
        absurd, or falling_ratio is not above zero or is above 1.

    Source: a cable maker's note that pass or fail on one reading is inappropriate. The ratio is a
    proposal; that resistance halves with 10 C is common practice.

    >>> trend = insulation_trend([(2012, 200), (2019, 48), (2026, 1.1)])
    >>> trend.before_megohm, trend.years, trend.ratio
    (124.0, 14.0, 0.009)
    """
    limit = positive(falling_ratio, "falling_ratio", at_most=1)
    if len(readings) < 2:
        raise ValueError("readings: a trend needs at least two")
    known = [
        (finite(year, "year"), non_negative(megohm, "megohm", at_most=MAX_MEGOHM))
        for year, megohm in readings
    ]
    known.sort(key=lambda reading: reading[0])
    *earlier, (newest_year, newest) = known
    before = median(megohm for _, megohm in earlier)
    ratio = newest / before if before > 0 else None
    return InsulationTrend(
        before_megohm=before,
        newest_megohm=newest,
        years=newest_year - known[0][0],
        ratio=ratio,
        falling=ratio is not None and ratio <= limit,
    )


def ieee43_minimum_megohm(*, subject: str, winding: str, rated_kv: float) -> float:
    """Least insulation resistance by IEEE 43, one minute at 40 C, of a motor alone.

    It is refused for motor and cable in a well: a healthy string reads 2 megohms there and would
    fail the 5 of the standard, which was never meant for it.

    Parameters
    ----------
    subject
        "motor_alone" (out of the well, its cable off); "motor_and_cable_in_well" is refused.
    winding
        "before_1970", "random_wound" (or anything below 1 kV) or "form_wound".
    rated_kv
        Rated voltage, kilovolts.

    Returns
    -------
    float
        Megohms.

    Raises
    ------
    ValueError
        Where subject is not a motor alone, winding is none of IEEE43_WINDINGS, or rated_kv is not
        above zero, not finite or absurd.

    Source: IEEE 43, by secondary sources (a published quiz of 2004, a guide to the 2013 edition);
    its 1974 edition excluded fractional horsepower. Published: 230 V by the old rule.

    >>> ieee43_minimum_megohm(subject="motor_alone", winding="before_1970", rated_kv=0.23)
    1.23
    """
    if subject not in IEEE43_SUBJECTS:
        raise ValueError(f"subject: '{subject}' is not one of: {', '.join(IEEE43_SUBJECTS)}")
    if subject != "motor_alone":
        raise ValueError(
            "subject: IEEE 43 is for a motor alone, out of the well; of motor and cable in a well"
            " see insulation_reading"
        )
    if winding not in IEEE43_WINDINGS:
        raise ValueError(f"winding: '{winding}' is not one of: {', '.join(IEEE43_WINDINGS)}")
    kv = positive(rated_kv, "rated_kv", at_most=MAX_RATED_KV)
    if winding == "before_1970":
        return kv + 1
    return 5.0 if winding == "random_wound" or kv < 1 else 100.0


def _word(table: str, bands: tuple[_Band, ...], megohm: float) -> InsulationWord:
    """The first band from the top that the reading reaches."""
    _, band, advice, pull = next(row for row in bands if megohm >= row[0])
    return InsulationWord(table, band, advice, pull)
