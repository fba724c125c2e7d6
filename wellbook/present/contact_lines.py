"""What is due at a property and where it stands with the customer, and what was said so far."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from wellbook.present.envelope import Shape, day_json
from wellbook.present.json_shapes import standing_json
from wellbook.present.text import clean
from wellbook.store.contacts import ASKED_FOR, Owed, PropertyRecord
from wellbook.store.lives import words_of
from wellbook.terms import ContactWay, RemindBy, Said, Severity


def contact_lines(record: PropertyRecord, today: date) -> Iterator[str]:
    """The property as lines: whose, what is due and where each stands, then what was said."""
    yield " · ".join(x for x in (", ".join(record.tags), *_whose(record)) if x)
    told = [o for o in record.owed if o.finding.severity is not Severity.ASK]
    if not told:
        yield "  nothing is due there in the days ahead"
    yield from (f"  a visit besides: {words_of(x, today)}" for x in record.visits)
    for owed in told:
        yield from _owed(owed, today, several=len(record.tags) > 1)
    if record.lines:
        yield "SAID"
        subjects = {o.finding.occurrence: o.finding.subject for o in record.owed}
        here = record.place.resident.name if record.place and record.place.resident else None
        for line in record.lines:
            whom = "" if line["customer"] in (None, here) else f" to {clean(line['customer'])}"
            yield f"  {line['on_day']}  {_said(line, subjects)}{whom}"
    else:
        yield "Nothing was said so far."


def _whose(record: PropertyRecord) -> tuple[str, ...]:
    place = record.place
    if place is None:
        return ()
    who = place.resident
    if who is None:
        return ("customer unknown", place.words)
    phones = who.addresses.get(ContactWay.PHONE, ())
    wants = f"reminders: {who.remind_by.label}" if who.remind_by else ""
    return tuple(map(clean, (who.name, *phones[:1], place.words, wants)))


def _owed(owed: Owed, today: date, *, several: bool) -> Iterator[str]:
    finding = owed.finding
    begins = finding.may_from
    since = "due" if begins is None else f"due {'since' if begins <= today else 'from'} {begins}"
    stands = words_of(owed.life, today) or ("" if finding.to_customer else "for the shop only")
    said = " · ".join(x for x in (since, stands) if x)
    well = f"{owed.tag}  " if several else ""
    yield f"  {finding.severity.value:<6}{well}{finding.subject}: {said}"


def _said(line: Mapping[str, Any], subjects: Mapping[str, str]) -> str:
    """One line of what was said; what is still due is called as the list above calls it.

    >>> _said({"said": "put_off", "by": "call", "for_day": "2027-05-01", "for_time": "", "crew": "",
    ...        "note": "after haying", "about": ["check-up:again:ab12", "falling-level:a"],
    ...        "who": "Ida"}, {"falling-level:a": "static level"})
    'put off until 2027-05-01 by call · check-up, static level · after haying (Ida)'
    """
    said, when = Said(line["said"]), line["for_day"]
    words = said.label
    if said is Said.BOOKED:
        words = " ".join(str(x) for x in ("booked for", when, line["for_time"], line["crew"]) if x)
    elif said is Said.PUT_OFF:
        words = f"put off until {when}"
    if line["by"]:
        words += f" by {RemindBy(line['by']).label}"
    things = dict.fromkeys(
        subjects.get(one) or one.partition(":")[0]
        for one in line["about"]
        if not one.startswith(ASKED_FOR)
    )
    said_of = " · ".join(x for x in (words, ", ".join(things), clean(line["note"])) if x)
    return f"{said_of} ({clean(line['who'])})"


def contact_json(record: PropertyRecord, today: date) -> Shape:
    """The same for programs."""
    return {
        "wells": list(record.tags),
        "place": record.place.words if record.place else "",
        "customer": record.place.resident.name if record.place and record.place.resident else None,
        "due": [
            {
                "well": o.tag,
                "rule": o.finding.rule,
                "subject": o.finding.subject,
                "occurrence": o.finding.occurrence,
                "severity": o.finding.severity.value,
                "may_from": day_json(o.finding.may_from),
                **standing_json(o.life, today),
                "to_customer": o.finding.to_customer,
            }
            for o in record.owed
        ],
        "said": [
            {
                "on": day_json(line["on_day"]),
                "said": line["said"],
                "by": line["by"],
                "for_day": day_json(line["for_day"]),
                "for_time": line["for_time"],
                "crew": line["crew"],
                "note": line["note"],
                "about": line["about"],
                "who": line["who"],
            }
            for line in record.lines
        ],
    }
