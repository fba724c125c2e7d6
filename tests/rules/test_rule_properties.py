"""What holds of all rules, whatever a well's record looks like."""

from dataclasses import fields, replace
from datetime import date, timedelta
from typing import get_args, get_type_hints

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rule_holes import TODAY, check_form, hole, pump

from wellbook.dates import When
from wellbook.engineering.analytes import Result
from wellbook.hole.component import Claim, Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import PARTS
from wellbook.hole.records import Inspection, Interval, Observation, Occupant, Sample, System, Visit
from wellbook.rules import catalogue, doubtful_record, pump_age
from wellbook.rules.finding import Finding, Settings
from wellbook.terms import (
    Bacteria,
    Basis,
    Construction,
    IntervalKind,
    LevelState,
    MeasuringPoint,
    Quantity,
    Reason,
    Role,
    SheetKind,
    WellStatus,
)

SHOP = Settings()
ENTERED = date(2020, 6, 1)

days = st.dates(date(1990, 1, 1), date(2026, 11, 25))
feet = st.one_of(
    st.none(),
    st.sampled_from([0.0, 9.9, 24.0, 25.0, 200.0, 290.0, 297.0, 300.0, 310.0, 450.0, 1200.0]),
    st.floats(0, 40_000, allow_nan=False),
)


@st.composite
def whens(draw: st.DrawFn, bounded: bool = False) -> When:
    """A date as uncertain as can be; `bounded` has both ends."""
    one, two = sorted((draw(days), draw(days)))
    shape = draw(st.sampled_from(["exact", "both"] if bounded else ["exact", "both", "to", "from"]))
    if shape == "exact":
        return When.on(one)
    return When.between(None if shape == "to" else one, None if shape == "from" else two)


maybe_when = st.one_of(st.just(When.unknown()), whens())

_TEXTS = st.sampled_from(
    ["plastic", "PVC", "pe4710", "brass", "galvanized", "SIDR 9", "0", "1", ""]
)


@st.composite
def parts(draw: st.DrawFn, dates: st.SearchStrategy[When] = maybe_when) -> object:
    """A part of any kind with any of its facts missing."""
    kind = draw(st.sampled_from(list(PARTS.values())))
    hints = get_type_hints(kind)
    values = {}
    for f in fields(kind):
        hint = next(a for a in get_args(hints[f.name]) if a is not type(None))
        if hint is float:
            values[f.name] = draw(feet)
        elif hint is int:
            values[f.name] = draw(st.one_of(st.none(), st.integers(1, 14)))
        elif hint is bool:
            values[f.name] = draw(st.sampled_from([None, True, False]))
        elif hint is When:
            values[f.name] = draw(st.one_of(st.none(), dates))
        elif hint is str:
            values[f.name] = draw(st.one_of(st.none(), _TEXTS))
        else:
            values[f.name] = draw(st.one_of(st.none(), st.sampled_from(list(hint))))
    return kind(**values)


@st.composite
def components(draw: st.DrawFn, uid: str, dates: st.SearchStrategy[When] = maybe_when) -> Component:
    claims = ()
    if draw(st.booleans()):
        claims = (Claim("set_depth_ft", 1.0, Basis.MEASURED, draw(days), True, "v"),)
    return Component(
        uid,
        draw(parts(dates)),
        draw(dates),
        draw(st.sampled_from(Basis)),
        ENTERED,
        draw(st.sampled_from(["v0", "v1", "opening"])),
        draw(st.one_of(st.none(), st.none(), dates)),
        draw(st.sampled_from([None, "v0", "v1"])),
        claims=claims,
    )


def observations(uid: str, dates: st.SearchStrategy[When]) -> st.SearchStrategy[Observation]:
    return st.builds(
        Observation,
        st.just(uid),
        st.sampled_from(Quantity),
        feet,
        dates,
        st.sampled_from(Basis),
        st.one_of(st.none(), st.sampled_from(MeasuringPoint)),
        st.one_of(st.none(), st.sampled_from(LevelState)),
        sheet_uid=st.sampled_from([None, "v0", "v1"]),
    )


_RESULTS = {
    "nitrate_mg_l": [3.0, 9.8, 10.0, 12.0],
    "nitrite_mg_l": [0.2, 0.3, 1.5],
    "arsenic_mg_l": [0.001, 0.02],
    "lead_mg_l": [0.01, 0.012, 0.02],
    "methane_mg_l": [9.0, 10.0, 29.0],
    "ph": [6.0, 7.0, 9.0],
    "manganese_mg_l": [0.06, 0.2, 0.4],
}
results = st.fixed_dictionaries(
    {},
    optional={
        word: st.builds(Result, st.sampled_from([None, *values]), st.booleans()).filter(
            lambda found: found.below or found.value is not None
        )
        for word, values in _RESULTS.items()
    },
)


def samples(uid: str, dates: st.SearchStrategy[When]) -> st.SearchStrategy[Sample]:
    return st.builds(
        Sample,
        st.just(uid),
        dates,
        st.one_of(st.none(), st.sampled_from(Bacteria)),
        st.just(""),
        st.just(""),
        st.sampled_from([None, "v0", "v1"]),
        results=results,
    )


@st.composite
def visits(draw: st.DrawFn, uid: str) -> Visit:
    start = draw(days)
    end = draw(st.sampled_from([None, start, start + timedelta(days=3)]))
    return Visit(
        uid,
        draw(st.sampled_from(SheetKind)),
        start,
        end,
        draw(st.sampled_from(Reason)),
        (),
        draw(st.booleans()),
        "",
        "",
        draw(st.booleans()),
        draw(st.booleans()),
    )


@st.composite
def holes(draw: st.DrawFn, dates: st.SearchStrategy[When] = maybe_when) -> Hole:
    """A well's record with any subset of facts missing, likely and unlikely alike."""
    counts = [draw(st.integers(0, 4)) for _ in range(5)]
    down = tuple(draw(components(f"c{n}", dates)) for n in range(counts[0]))
    seen = tuple(
        Inspection(
            f"i{n}",
            draw(st.sampled_from(down)).uid,
            draw(days),
            draw(st.sampled_from([None, 0, 3, 6])),
            draw(st.sampled_from([None, 0, 4, 12])),
            draw(st.sampled_from([0, 1])),
            "v0",
        )
        for n in range(2 if down else 0)
    )
    return hole(
        status=draw(st.sampled_from(WellStatus)),
        role=draw(st.sampled_from(Role)),
        construction=draw(st.sampled_from(Construction)),
        flowing=draw(st.sampled_from([None, True, False])),
        drilled_on=draw(dates),
        stick_up_ft=draw(st.sampled_from([None, 1.5])),
        entered_on=ENTERED,
        frost_depth_ft=draw(st.sampled_from([None, 4.0])),
        occupants=draw(
            st.sampled_from(
                [
                    (),
                    (Occupant("p", "Ada", When.unknown(), None, (), contract_month=4),),
                    (Occupant("p", "Ada", When.unknown(), When.on(ENTERED), (), contract_month=9),),
                ]
            )
        ),
        system=draw(st.sampled_from([None, System("y", "", 30.0, (), ())])),
        components=down,
        inspections=seen,
        intervals=tuple(
            Interval(
                f"b{n}",
                draw(st.sampled_from(IntervalKind)),
                draw(feet),
                draw(feet),
                6.0,
                "",
                Basis.DRILLERS_LOG,
                draw(dates),
            )
            for n in range(counts[1])
        ),
        observations=tuple(draw(observations(f"o{n}", dates)) for n in range(counts[2])),
        samples=tuple(draw(samples(f"s{n}", dates)) for n in range(counts[3])),
        visits=tuple(
            sorted((draw(visits(f"v{n}")) for n in range(counts[4])), key=lambda v: v.start)
        ),
    )


def findings(well: Hole, changed: Settings = SHOP) -> list[Finding]:
    return [f for rule in catalogue.RULES for f in rule.judge(well, changed.numbers(rule))]


@pytest.mark.parametrize("clean", ["one", "two_in_a_row"])
@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(well=holes())
def test_no_rule_raises_and_every_finding_is_whole(clean, well):
    rules = {rule.name: rule for rule in catalogue.RULES}
    found = findings(well, Settings({"samples-owed.clean": clean}))
    for one in found:
        check_form(one, rules[one.rule])
    # One occurrence is one thing that is due: only a graver finding may take its place.
    names = [f.occurrence for f in found if f.until is None]
    assert len(names) == len(set(names))


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(well=holes(), role=st.sampled_from(Role), status=st.sampled_from(WellStatus))
def test_sealed_and_reference_wells_owe_nothing(well, role, status):
    found = catalogue.judge(replace(well, role=role, status=status), SHOP)
    if role is Role.REFERENCE:
        assert found == []
    elif status is WellStatus.SEALED:
        assert {f.subject for f in found} <= {"sealing record"}
    else:
        assert found == sorted(found, key=lambda f: f.rank)


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(well=holes())
def test_the_order_of_components_and_samples_says_nothing(well):
    """Of what is down there once; of several at once the newest stands last, and that counts."""
    turned = replace(
        well,
        samples=tuple(reversed(well.samples)),
        intervals=tuple(reversed(well.intervals)),
    )
    assert {f.occurrence for f in findings(well)} == {f.occurrence for f in findings(turned)}


@given(set_on=maybe_when, model=st.one_of(st.none(), maybe_when), later=st.integers(0, 30_000))
def test_adding_years_never_removes_an_age_finding(set_on, model, later):
    well = hole(components=[pump(set_on, model_year=model, set_depth_ft=310.0)])
    found = list(pump_age.RULE.judge(well, SHOP.numbers(pump_age.RULE)))
    begun = min((f.may_from or date.min for f in found), default=None)
    if begun is not None:
        day = max(begun, TODAY) + timedelta(days=later)
        assert len([f for f in found if f.holds(day)]) == 1


# -- less is known -------------------------------------------------------------------------------


@st.composite
def a_hole_and_less_of_it(draw: st.DrawFn) -> tuple[Hole, Hole]:
    """A well, and the same with one date known less well."""
    well = draw(holes(whens(bounded=True)))
    before, after = draw(st.integers(0, 3000)), draw(st.integers(0, 3000))

    def wider(when: When) -> When:
        assert when.earliest is not None
        assert when.latest is not None
        return When.between(
            when.earliest - timedelta(days=before), when.latest + timedelta(days=after)
        )

    names = [name for name in ("components", "observations", "samples") if getattr(well, name)]
    if not names:
        return well, well
    name = draw(st.sampled_from(names))
    rows = list(getattr(well, name))
    n = draw(st.integers(0, len(rows) - 1))
    field = {"components": "set_on", "observations": "when", "samples": "taken_on"}[name]
    rows[n] = replace(rows[n], **{field: wider(getattr(rows[n], field))})
    return well, replace(well, **{name: tuple(rows)})


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(pair=a_hole_and_less_of_it())
def test_knowing_less_never_makes_a_finding_surer_or_later(pair):
    """`may_from` never later, `surely_from` never earlier.

    Not asked of doubtful records: two dates that cannot both be true may both be once one of them
    is less exact, and then there is no doubt. Which reading of several is the newest may change
    with its date, so only findings that count from the same record are compared.
    """
    known, less = pair
    one, two = (_by_occurrence(well) for well in (known, less))
    for name in one.keys() & two.keys():
        if one[name].numbers != two[name].numbers:
            continue
        may, may_less = one[name].may_from, two[name].may_from
        assert may_less is None or (may is not None and may_less <= may), name
        surely, surely_less = one[name].surely_from, two[name].surely_from
        assert surely_less is None or (surely is not None and surely_less >= surely), name


def _by_occurrence(well: Hole) -> dict[str, Finding]:
    """The first finding of each occurrence; the graver one that follows begins when it is sure."""
    found: dict[str, Finding] = {}
    for one in findings(well):
        if one.rule != doubtful_record.NAME:
            found.setdefault(one.occurrence, one)
    return found


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data(), clean=st.sampled_from(["one", "two_in_a_row"]))
def test_a_sample_known_less_well_never_settles_what_was_owed(data, clean):
    """Then nothing is owed less; and nothing new is owed for sure."""
    exact = data.draw(
        st.lists(samples("s", whens(bounded=True)), max_size=4).map(
            lambda rows: [replace(s, uid=f"s{n}") for n, s in enumerate(rows)]
        )
    )
    if not exact:
        return
    n = data.draw(st.integers(0, len(exact) - 1))
    days_more = timedelta(days=data.draw(st.integers(0, 2000)))
    span = exact[n].taken_on
    assert span.earliest is not None
    assert span.latest is not None
    wide = list(exact)
    wide[n] = replace(
        exact[n], taken_on=When.between(span.earliest - days_more, span.latest + days_more)
    )
    (rule,) = (r for r in catalogue.RULES if r.name == "samples-owed")
    numbers = Settings({"samples-owed.clean": clean}).numbers(rule)
    was, now = (list(rule.judge(hole(samples=rows), numbers)) for rows in (exact, wide))
    assert {f.subject for f in was} <= {f.subject for f in now}
    for f in now:
        if f.subject not in {g.subject for g in was}:
            assert f.surely_from is None


# -- the catalogue -------------------------------------------------------------------------------


@pytest.mark.parametrize("rule", catalogue.RULES, ids=lambda rule: rule.name)
def test_every_rule_says_why_and_every_number_where_it_is_from(rule):
    assert rule.title
    assert rule.why.strip().count("\n") >= 2, "a rule's docstring says why a shop may want it"
    for threshold in rule.thresholds:
        assert threshold.meaning
        assert threshold.source
        if threshold.choices:
            assert threshold.default in threshold.choices
        else:
            assert isinstance(threshold.default, (int, float))
            assert 0 <= threshold.least <= threshold.default <= threshold.most
            assert threshold.least < threshold.most


@pytest.mark.parametrize("rule", catalogue.RULES, ids=lambda rule: rule.name)
def test_the_milder_figure_comes_before_the_graver_one(rule):
    numbers = SHOP.numbers(rule)
    names = {threshold.name for threshold in rule.thresholds}
    for low, high in rule.in_order:
        assert {low, high} <= names
        rule.check_order(low, numbers)
    pairs = {("plan", "act"), ("may", "surely")}
    for one in names:
        for first, second in pairs:
            other = one.replace(first, second)
            if other != one and other in names and not one.endswith("_off_bottom_ft"):
                assert (one, other) in rule.in_order


def test_names_are_one_of_a_kind_and_the_catalogue_has_all():
    names = [rule.name for rule in catalogue.RULES]
    assert len(names) == len(set(names)) == 29
    assert catalogue.the_rule("Pump age") is catalogue.the_rule("pump_age")
