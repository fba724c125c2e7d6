"""A part, a reading, a finding or a sample in one line of the trade's words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields
from enum import StrEnum

from wellbook.dates import When
from wellbook.engineering.analytes import ANALYTES
from wellbook.hole.component import SETTING, Claim
from wellbook.hole.facts import Fact
from wellbook.hole.parts import Part
from wellbook.hole.records import Found, Interval, Observation, Sample
from wellbook.quantities import show, split_suffix
from wellbook.terms import Basis, IntervalKind

_WORDS = {
    "awg": "#{}",
    "conductors": "{} conductors",
    "nominal_in": "{} in",
    "phases": "{} phase",
    "wires": "{}-wire",
    "serial": "serial {}",
    "date_code": "date code {}",
    "set_depth_ft": "at {} ft",
    "depth_ft": "at {} ft",
    "from_ft": "from {} ft",
    "to_ft": "to {} ft",
    "joint_ft": "joints of {} ft",
    "rated_gpm": "rated {} gpm",
    "rating_psi": "rated {} psi",
    "made": "new {}",
    "model_year": "model year {}",
    "warranty_until": "warranty until {}",
}


def describe(part: Part) -> str:
    """All that is known of a part, in one line.

    >>> from wellbook.hole.parts import Cable
    >>> describe(Cable(awg=12, conductors=3, ground_wire=True, from_ft=0, to_ft=280))
    'cable: #12, 3 conductors, ground wire, from 0 ft, to 280 ft'
    """
    said = [
        field_text(field.name, value)
        for field in fields(part)
        if (value := getattr(part, field.name)) is not None
    ]
    return f"{part.kind.label}: {', '.join(said) or 'nothing known of it'}"


def describe_reading(seen: Observation) -> str:
    """One reading with what it says of itself.

    >>> from datetime import date
    >>> from wellbook.terms import Basis, LevelState, MeasuringPoint, Quantity
    >>> today = When.on(date(2026, 11, 25))
    >>> describe_reading(
    ...     Observation(
    ...         "", Quantity.WATER_LEVEL_FT, 171, today, Basis.MEASURED,
    ...         MeasuringPoint.CASING_TOP, LevelState.STATIC, "sounder",
    ...     )
    ... )
    'static water level 171 ft from casing top, sounder'
    """
    state = f"{seen.state.label} " if seen.state else ""
    fact = seen.fact()
    value = "" if seen.value is None else f" {number_text(fact)}"
    point = f" from {seen.point.label}" if seen.point else ""
    more = [
        f"at {show(seen.at_gpm, 'gpm')}" if seen.at_gpm is not None else "",
        f"after {seen.minutes:g} minutes" if seen.minutes is not None else "",
        fact.own_method,
    ]
    said = f"{state}{seen.quantity.label}{value}{point}"
    return ", ".join(x for x in (said, *more) if x)


def number_text(fact: Fact) -> str:
    """A number with its unit; where the meter's needle stood past the last mark, it is over that.

    >>> from wellbook.hole.facts import OVER_THE_SCALE
    >>> from wellbook.terms import Basis
    >>> over = OVER_THE_SCALE
    >>> number_text(Fact(500, "megohm", Basis.MEASURED, When.unknown(), method=over))
    'over 500 megohm'
    """
    return f"{'over ' if fact.at_least else ''}{show(fact.number, fact.unit)}"


def describe_found(found: Found) -> str:
    """One thing found at a visit."""
    count = "" if found.count is None else f"{found.count} x "
    where = f"({found.part.label})" if found.part else ""
    depth = "" if found.depth_ft is None else f"at {show(found.depth_ft, 'ft')}"
    head = " ".join(x for x in (f"{count}{found.what.label}", where, depth) if x)
    grade = f", {found.severity.label}" if found.severity else ""
    return head + grade + (f": {found.note}" if found.note else "")


def describe_sample(sample: Sample) -> str:
    """A water sample, and what the laboratory said of it so far."""
    said = [f"bacteria {sample.bacteria.label}"] if sample.bacteria else []
    results = ", ".join([*said, *analyte_texts(sample)]) or "no result yet"
    return f"sample of {sample.taken_on}: {results}"


def analyte_texts(sample: Sample) -> list[str]:
    """Each analyte of a sample with its result, in the order of a page."""
    return [
        f"{a.label} {a.said(sample.results[w])}" for w, a in ANALYTES.items() if w in sample.results
    ]


def describe_interval(interval: Interval) -> str:
    """One stretch of the bore: what it is, how wide, from where to where.

    Of a fractured zone also the pressure at which it opened, and the water that went in.
    """
    named = "" if interval.kind is IntervalKind.CASING else interval.kind.label
    width = "" if interval.diameter_in is None else show(interval.diameter_in, "in")
    words = [w for w in (width, interval.material.replace("_", " "), named) if w]
    words.append(span_text(interval.from_ft, interval.to_ft))
    if interval.pressure_psi is not None:
        words.append(f"at {show(interval.pressure_psi, 'psi')}")
    if interval.volume_gal is not None:
        words.append(f"with {show(interval.volume_gal, 'gal')}")
    return " ".join(w for w in words if w)


def span_text(from_ft: float | None, to_ft: float | None) -> str:
    """From where to where, as far as it is known.

    >>> span_text(0, 64), span_text(None, 64), span_text(64, None)
    ('0 to 64 ft', 'to 64 ft', 'from 64 ft')
    """
    if from_ft is not None and to_ft is not None:
        return f"{show(from_ft, 'ft').removesuffix(' ft')} to {show(to_ft, 'ft')}"
    if to_ft is not None:
        return f"to {show(to_ft, 'ft')}"
    return "" if from_ft is None else f"from {show(from_ft, 'ft')}"


def told_text(claims: Iterable[Claim]) -> str:
    """What was told of a part otherwise than the record has it: by whom, when, and what.

    >>> from datetime import date
    >>> from wellbook.terms import Basis
    >>> day = date(2026, 11, 20)
    >>> age = When.parse("5 years old", said_on=day)
    >>> told_text([Claim("set_on", age, Basis.CUSTOMER_TOLD, day, False, "")])
    'told 2026-11-20: 5 years old'
    """
    said: dict[str, list[str]] = {}
    for claim in claims:
        how = _HOW.get(claim.basis, claim.basis.label)
        said.setdefault(f"{how} {claim.noted_on}", []).append(claim_text(claim))
    return "; ".join(f"{how}: {', '.join(texts)}" for how, texts in said.items())


_HOW = {Basis.CUSTOMER_TOLD: "told", Basis.ESTIMATED: "guessed"}


def claim_text(claim: Claim) -> str:
    """What one statement says of a part: its age in the words that were used."""
    if claim.field != SETTING:
        return field_text(claim.field, claim.value)
    text = str(claim.value.text if isinstance(claim.value, When) else claim.value)
    words = text.removesuffix(f" (said {claim.noted_on})")
    return words if words != text and {"old", "new"} & set(words.split()) else f"set {words}"


def field_text(name: str, value: object) -> str:
    """One field as it is said in a line: its unit, or its name, where they are needed.

    >>> field_text("hp", 1.5), field_text("serial", "A7"), field_text("set_depth_ft", 320.0)
    ('1-1/2 hp', 'serial A7', 'at 320 ft')
    >>> field_text("model_year", "2011"), field_text("model_year", "2008 model")
    ('model year 2011', '2008 model')
    """
    label, unit = split_suffix(name)
    if isinstance(value, bool):
        return label if value else f"no {label}"
    if name == "material":
        return str(value).replace("_", " ")
    if name == "model_year" and "model" in str(value):
        return str(value)
    if name in _WORDS:
        return _WORDS[name].format(f"{value:g}" if isinstance(value, float) else value)
    if isinstance(value, (int, float)):
        shown = show(float(value), unit) if unit else f"{value:g}"
        return shown if unit == "hp" else f"{label} {shown}"
    if isinstance(value, StrEnum):
        return value.value.replace("_", " ")
    if isinstance(value, When):
        return f"{label} {value}"
    return str(value)
