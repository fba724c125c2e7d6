"""Dates that may be uncertain: what is read, what is refused, and what always holds."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.dates import When
from wellbook.days import add_days, add_months, add_years, first_day, last_day, whole_years

SAID = date(2023, 6, 1)

days = st.dates(date(1800, 1, 1), date(2200, 12, 31))
recent_days = st.dates(date(1950, 1, 1), date(2060, 12, 31))
starts_and_ends = st.sampled_from(
    [first_day(y, m) for y in (1999, 2000, 2012) for m in (1, 2, 12)]
    + [last_day(y, m) for y in (2000, 2012, 2013) for m in (1, 2, 12)]
)
bounds = (
    st.tuples(
        st.none() | days | starts_and_ends,
        st.none() | days | starts_and_ends,
    )
    .filter(lambda pair: pair[0] is None or pair[1] is None or pair[0] <= pair[1])
    .map(lambda pair: When.between(*pair))
)
wordings = st.builds(
    str.format,
    st.sampled_from(
        [
            *("{0}", "about {0}", "{0}~", "before {0}", "after {0}", "since {0}", "{0} model"),
            *("{0}/..", "../{0}", "late {1}0s", "{1}X", "the {1}0s", "winter {0}", "May {0}"),
            *("{2} years old", "about {2} y", "{2} to {2} years ago", "at least {2} months old"),
            *("under {2} years", "new", "last year", "{0}-05~", "about 28 Feb {0}", "?", "mid {0}"),
        ]
    ),
    st.integers(1802, 2198),
    st.integers(191, 218),
    st.integers(1, 99),
)


def parse(text: str) -> When:
    return When.parse(text, said_on=SAID)


# The examples of the Library of Congress's EDTF specification, the text ISO 8601-2:2019 took over
# (level 0 and 1 forms, from memory), moved to years a pump can have; widths of "~" are our own.
@pytest.mark.parametrize(
    ("written", "first", "last"),
    [
        ("2001-02-03", date(2001, 2, 3), date(2001, 2, 3)),
        ("2008-12", date(2008, 12, 1), date(2008, 12, 31)),
        ("2008", date(2008, 1, 1), date(2008, 12, 31)),
        ("1964/2008", date(1964, 1, 1), date(2008, 12, 31)),
        ("2004-06/2006-08", date(2004, 6, 1), date(2006, 8, 31)),
        ("2004-02-01/2005-02-08", date(2004, 2, 1), date(2005, 2, 8)),
        ("2004-02-01/2005-02", date(2004, 2, 1), date(2005, 2, 28)),
        ("2005/2006-02", date(2005, 1, 1), date(2006, 2, 28)),
        ("1985-04-12/..", date(1985, 4, 12), None),
        ("1985/", date(1985, 1, 1), None),
        ("../1985-04-12", None, date(1985, 4, 12)),
        ("201X", date(2010, 1, 1), date(2019, 12, 31)),
        ("20XX", date(2000, 1, 1), date(2099, 12, 31)),
        ("2004-XX", date(2004, 1, 1), date(2004, 12, 31)),
        ("1985-04-XX", date(1985, 4, 1), date(1985, 4, 30)),
        ("1985-XX-XX", date(1985, 1, 1), date(1985, 12, 31)),
        ("2001-21", date(2001, 3, 1), date(2001, 5, 31)),
        ("1984?", date(1983, 1, 1), date(1985, 12, 31)),
        ("2006~", date(2005, 1, 1), date(2007, 12, 31)),
        ("2004-06~", date(2004, 5, 1), date(2004, 7, 31)),
        ("2004-06-11%", date(2004, 6, 10), date(2004, 6, 12)),
        ("1984~/2004-06", date(1983, 1, 1), date(2004, 6, 30)),
    ],
)
def test_forms_of_the_standard(written: str, first: date | None, last: date | None) -> None:
    read = parse(written)
    assert (read.earliest, read.latest) == (first, last)


@pytest.mark.parametrize(
    ("same", "written"),
    [
        (["2011 model", "model 2011", "Model year 2011", "in 2011", "2011."], "2011"),
        (
            [
                *(
                    "about 2006",
                    "around 2006",
                    "ca 2006",
                    "ca. 2006",
                    "c. 2006",
                    "CIRCA 2006",
                    "~2006",
                ),
                *("approx. 2006", "maybe 2006", "2006 or so", "about 2006 model"),
            ],
            "2005/2007",
        ),
        (["before 2010", "pre-2010", "prior to 2010", "2009 or earlier"], "../2009"),
        (["after 2010", "2011 or later"], "2011/.."),
        (["since 2010", "no earlier than 2010"], "2010/.."),
        (["by 2010", "until 2010"], "../2010"),
        (["before about 2010"], "../2010"),
        (["before May 2010"], "../2010-04"),
        (
            ["between 2005 and 2009", "2005-2009", "2005 \N{EN DASH} 2009", "2005 to 2009"],
            "2005/2009",
        ),
        (["2006 or 2007", "2006, maybe 2007"], "2006/2007"),
        (["late 1990s", "the late '90s", "in the late 90s"], "1996/1999"),
        (["early 2000s"], "2000/2003"),
        (["mid 1980s", "mid-1980s"], "1983/1986"),
        (["1990s", "the 90s", "1990's"], "1990/1999"),
        (["the 20s"], "2020/2029"),
        (["the 30s"], "1930/1939"),
        (["early 2011"], "2011-01/2011-04"),
        (["spring 2011"], "2011-03/2011-05"),
        (["summer of 2011"], "2011-06/2011-08"),
        (["fall 2011", "Autumn 2011"], "2011-09/2011-11"),
        (["winter 2011"], "2011-12/2012-02"),
        (["May 2011", "5/2011", "in may, 2011"], "2011-05"),
        (["sept. 2011", "Sep 2011", "September 2011"], "2011-09"),
        (
            [
                *("may 14 2011", "May 14, 2011", "14 May 2011", "14th of May 2011", "14-May-2011"),
                *("5/14/2011", "14/5/2011", "14.5.2011", "2011/05/14", "on May 14th, 2011"),
            ],
            "2011-05-14",
        ),
        (["4/4/2011"], "2011-04-04"),
        (
            [
                *("10-12 years old", "10 to 12 years old", "ten, maybe twelve years old"),
                *("ten years old, maybe twelve", "between ten and twelve years old"),
            ],
            "2010-06-02/2013-06-01",
        ),
        (
            ["15 years ago", "15 yrs", "15 y", "15-year-old", "fifteen yrs. old"],
            "2007-06-02/2008-06-01",
        ),
        (["about 15 years old", "maybe 15 yrs", "15 years or so"], "2006-06-02/2009-06-01"),
        (["a couple of years ago", "two years ago"], "2020-06-02/2021-06-01"),
        (["twenty-one years old", "twenty one years old"], "2001-06-02/2002-06-01"),
        (["15+ years old", "at least 15 years old", "15 years or more"], "../2008-06-01"),
        (["under a year", "less than 1 year old"], "2022-06-02/2023-06-01"),
        (["6 months ago"], "2022-11-02/2022-12-01"),
        (["3 days ago"], "2023-05-29"),
        (["new", "brand new"], "2022-06-01/2023-06-01"),
        (["last year"], "2022"),
        (["this year"], "2023"),
        (["last month"], "2023-05"),
        (["today"], "2023-06-01"),
        (["yesterday"], "2023-05-31"),
        (["", " ", "?", "unknown", "Unknown", "not known", "don't know", "don\u2019t know"], ""),
    ],
)
def test_wordings_of_the_trade(same: list[str], written: str) -> None:
    assert {text: parse(text).edtf() for text in same} == dict.fromkeys(same, written)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("03/04/2011", r"two days; write 2011-03-04 for 4 March or 2011-04-03 for 3 April"),
        ("3/4/11", "two digits"),
        ("5/14/11", "two digits"),
        ("2014-02-29", "February 2014, which has 28 days"),
        ("29 Feb 2014", "February 2014, which has 28 days"),
        ("2011-13", "no month 13; a range of years is written 2011/2013"),
        ("2011-00", "no month 0"),
        ("13/13/2011", "no month 13"),
        ("32 May", "no day 32 in May"),
        ("32 May 2011", "May 2011, which has 31 days"),
        ("14 May", "no year of four digits"),
        ("2009/2005", "runs backwards"),
        ("between 2009 and 2005", "runs backwards"),
        ("12-10 years old", "runs backwards; write 10 to 12"),
        ("1799", "1800 to 2200"),
        ("2201", "1800 to 2200"),
        ("999 years old", "1800 to 2200"),
        ("before 1800", "1800 to 2200"),
        ("1900s", "ten years or a hundred"),
        ("1995s", "write 1990s"),
        ("15", "a year or an age"),
        ("'06", "a year or an age"),
        ("/", "write 2011-05-14"),
        ("when the old barn stood", "write 2011-05-14"),
        ("2011 " * 100, "longer than"),
        ("\N{ARABIC-INDIC DIGIT TWO}011", "not a wording known"),
    ],
)
def test_refused_with_what_would_be_right(text: str, why: str) -> None:
    with pytest.raises(ValueError, match=why) as caught:
        parse(text)
    assert "\n" not in str(caught.value)
    assert caught.value.__suppress_context__


def test_the_wording_comes_back_unchanged() -> None:
    assert parse("  About  2006 ").text == "About  2006"
    assert str(parse("About  2006")) == "About  2006"
    assert str(parse("")) == "unknown"


def test_what_was_never_said_in_words_is_told_by_its_bounds() -> None:
    assert str(When.between(None, date(2009, 12, 31))) == "by 2009-12-31"
    assert str(When.between(date(2009, 1, 1), None)) == "since 2009-01-01"
    assert str(When.between(date(2005, 1, 1), date(2009, 12, 31))) == "2005/2009"
    assert str(When.between(None, None)) == "unknown"


@pytest.mark.parametrize(
    "words", ["10-12 years old", "new", "last year", "over 20 years ago", "about 5 yrs", "today"]
)
def test_what_counts_from_the_day_bears_the_day_it_was_said(words: str) -> None:
    when = parse(words)
    assert when.text == f"{words} (said {SAID})"
    assert str(when) == f'"{words}" (said {SAID})'
    # Copied into a sheet of a later year, in either form, it still means the same days.
    for form in (when.text, str(when)):
        assert When.parse(form, said_on=date(2031, 1, 1)) == when


@pytest.mark.parametrize("words", ["about 2006", "before 2010", "May 2011", "the 90s", "unknown"])
def test_what_means_the_same_on_any_day_bears_none(words: str) -> None:
    assert parse(words).text == words


def test_a_day_that_is_none_is_refused_in_what_was_said() -> None:
    with pytest.raises(ValueError, match="cannot read the date"):
        parse("new (said 2023-02-30)")


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (date(2011, 6, 1), date(2011, 6, 1), "12 years"),
        (date(2011, 6, 2), date(2011, 6, 2), "11 years"),
        (date(2010, 6, 2), date(2013, 6, 1), "10 to 12 years"),
        (None, date(2006, 1, 1), "at least 17 years"),
        (date(2020, 1, 1), None, "at most 3 years"),
        (date(2022, 1, 1), date(2022, 1, 2), "1 year"),
        (date(2022, 7, 1), None, "under a year"),
        (date(2024, 7, 1), date(2025, 1, 1), "under a year"),
        (None, None, "age unknown"),
        (None, date(2023, 1, 1), "age unknown"),
    ],
)
def test_age_in_words(first: date | None, last: date | None, words: str) -> None:
    assert When.between(first, last).age_text(SAID) == words


def test_what_lies_ahead_is_read_and_can_be_told() -> None:
    assert parse("2025").is_after(SAID)
    assert not parse("2023").is_after(SAID)
    assert not parse("before 2030").is_after(SAID)


def test_known_and_exact() -> None:
    assert When.on(SAID).exact
    assert When.on(SAID).known
    assert parse("before 2010").known
    assert not parse("2011").exact
    assert not When.unknown().exact
    assert not When.unknown().known


def test_within_and_overlaps() -> None:
    year, month, before = parse("2011"), parse("2011-05"), parse("before 2011")
    assert month.within(year)
    assert not year.within(month)
    assert month.overlaps(year)
    assert not before.overlaps(year)
    assert before.within(When.unknown())
    assert not When.unknown().within(before)
    assert When.unknown().overlaps(year)


def test_bounds_that_run_backwards_are_refused() -> None:
    with pytest.raises(ValueError, match="runs backwards"):
        When.between(date(2011, 1, 2), date(2011, 1, 1))


def test_warranty_ends_so_many_years_on() -> None:
    assert parse("2012-02-29").plus_years(1).edtf() == "2013-02-28"
    assert parse("2011").plus_years(2.5).edtf() == "2013-07/2014-06"
    assert When.unknown().plus_years(5).edtf() == ""
    with pytest.raises(ValueError, match="1800 to 2200"):
        parse("2011").plus_years(300)


@pytest.mark.parametrize(
    ("day", "months", "there"),
    [
        (date(2023, 1, 31), 1, date(2023, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2023, 12, 31), 2, date(2024, 2, 29)),
        (date(2024, 3, 31), -1, date(2024, 2, 29)),
        (date(2024, 1, 15), -1, date(2023, 12, 15)),
    ],
)
def test_months_end_where_they_end(day: date, months: int, there: date) -> None:
    assert add_months(day, months) == there


def test_leap_day() -> None:
    assert add_years(date(2012, 2, 29), 1) == date(2013, 2, 28)
    assert add_years(date(2012, 2, 29), -1) == date(2011, 2, 28)
    assert add_years(date(2012, 2, 29), 4) == date(2016, 2, 29)
    assert whole_years(date(2012, 2, 29), date(2013, 2, 27)) == 0
    assert whole_years(date(2012, 2, 29), date(2013, 2, 28)) == 1


@pytest.mark.parametrize("years", [float("nan"), float("inf"), 10_000, -10_000])
def test_years_that_are_none(years: float) -> None:
    with pytest.raises(ValueError, match=r"years|calendar"):
        add_years(SAID, years)


def test_days_outside_the_calendar() -> None:
    with pytest.raises(ValueError, match="calendar"):
        add_days(SAID, 10**12)


# ------------------------------------------------------------------------------- always


@given(bounds)
def test_the_written_form_reads_back_to_the_same_bounds(when: When) -> None:
    back = When.parse(when.edtf(), said_on=SAID)
    assert (back.earliest, back.latest) == (when.earliest, when.latest)
    assert back.edtf() == when.edtf()
    told = When.parse(str(when), said_on=SAID)
    assert (told.earliest, told.latest) == (when.earliest, when.latest)


@given(wordings, recent_days)
def test_the_first_day_is_never_after_the_last(text: str, said_on: date) -> None:
    read = When.parse(text, said_on=said_on)
    assert read.text in (text, f"{text} (said {said_on})")
    if read.earliest is not None and read.latest is not None:
        assert read.earliest <= read.latest
    again = When.parse(read.edtf(), said_on=said_on)
    assert (again.earliest, again.latest) == (read.earliest, read.latest)


@given(st.text(max_size=30) | st.text(alphabet="0129 -/.~?XxsMay,'", max_size=14))
def test_any_text_is_read_or_refused_in_one_line(text: str) -> None:
    try:
        read = parse(text)
    except ValueError as wrong:
        assert "\n" not in str(wrong)
        assert str(wrong).startswith("cannot read the date ")
    else:
        assert read.text.removesuffix(f" (said {SAID})") == text.strip()
        again = parse(str(read))
        assert (again.earliest, again.latest) == (read.earliest, read.latest)


@given(recent_days, st.integers(0, 99), st.integers(0, 20))
def test_an_age_reads_back_as_it_was_said(said_on: date, low: int, more: int) -> None:
    read = When.parse(f"{low} to {low + more} years old", said_on=said_on)
    assert read.age_years(said_on) == (low, low + more)
    # Not a day more could be taken in at either end.
    assert read.earliest is not None
    assert read.latest is not None
    assert whole_years(read.earliest - timedelta(days=1), said_on) == low + more + 1
    assert low == 0 or whole_years(read.latest + timedelta(days=1), said_on) == low - 1


@given(bounds, recent_days, st.integers(0, 5000))
def test_time_never_makes_anything_younger(when: When, on: date, later: int) -> None:
    for now, then in zip(
        when.age_years(on), when.age_years(on + timedelta(days=later)), strict=True
    ):
        assert (now is None) == (then is None)
        assert now is None or then is None or 0 <= now <= then


@given(bounds, recent_days)
def test_the_least_age_is_not_above_the_most(when: When, on: date) -> None:
    least, most = when.age_years(on)
    assert least is None or most is None or least <= most
    assert when.age_text(on)


@given(recent_days, st.integers(-100, 100))
def test_adding_years_keeps_the_day_but_for_the_leap_day(day: date, years: int) -> None:
    there = add_years(day, years)
    assert (there.year, there.month) == (day.year + years, day.month)
    assert there.day == day.day or (day.month, day.day, there.day) == (2, 29, 28)


@given(recent_days, st.integers(-600, 600))
def test_adding_months_agrees_with_dateutil(day: date, months: int) -> None:
    relativedelta = pytest.importorskip("dateutil.relativedelta").relativedelta
    assert add_months(day, months) == day + relativedelta(months=months)


@given(bounds, bounds)
def test_what_is_within_overlaps(one: When, other: When) -> None:
    assert one.overlaps(other) == other.overlaps(one)
    if one.within(other):
        assert one.overlaps(other)
