"""Which of two water samples came before the other, where their days may be uncertain.

What is owed or said is settled only by what surely came after; what only may have come after leaves
it open.
"""

from __future__ import annotations

from datetime import date

from wellbook.hole.records import Sample


def first_day(sample: Sample) -> date:
    """The first day on which it may have been taken."""
    return sample.taken_on.earliest or date.min


def last_day(sample: Sample) -> date:
    """The last day on which it may have been taken."""
    return sample.taken_on.latest or date.max


def after(sample: Sample, other: Sample, sure: bool) -> bool:
    """Whether a sample surely came after another; or, where it need not be sure, may have."""
    if sure:
        return first_day(sample) > last_day(other)
    return last_day(sample) > first_day(other)


def place(sample: Sample) -> tuple[date, date, str]:
    """By what samples are put in order, the oldest first."""
    return last_day(sample), first_day(sample), sample.uid
