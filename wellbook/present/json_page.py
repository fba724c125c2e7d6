"""The page of a well for other programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from datetime import date

from wellbook.hole.component import Component
from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Pipe
from wellbook.hole.records import Interval, Observation, Occupant, Sample, Visit
from wellbook.present.cautions import cautions
from wellbook.present.envelope import Shape, day_json, envelope, when_json
from wellbook.present.file_lines import file_json
from wellbook.present.json_shapes import due_json, fact_json, standing_json, value_json
from wellbook.present.lines import unit_of
from wellbook.present.load_lines import load_lines
from wellbook.present.page import loud_findings
from wellbook.present.place_lines import occupants_now, others_now
from wellbook.present.questions import questions
from wellbook.present.reading_lines import current, last_measured
from wellbook.present.recent import newest_first
from wellbook.present.string_lines import sorted_down
from wellbook.rules.cable_facts import wear
from wellbook.rules.finding import Finding
from wellbook.rules.hoist import load
from wellbook.rules.string_facts import rating_psi
from wellbook.store.lives import Life
from wellbook.terms import Kind, LevelState, Quantity, SheetKind


def page_json(
    hole: Hole,
    findings: Sequence[Finding],
    day: date,
    *,
    silenced: Mapping[str, str] | None = None,
    lives: Mapping[str, Life] | None = None,
) -> Shape:
    """The page of a well; the parameters are those of `build_page`."""
    quiet, said = silenced or {}, lives or {}
    loud = loud_findings(findings, quiet)
    return envelope(
        "wellbook.hole",
        1,
        day=day.isoformat(),
        well=well_json(hole),
        customers=[occupant_json(o) for o in occupants_now(hole)],
        bore=_bore(hole),
        string=[component_json(hole, c) for kind in Kind for c in sorted_down(hole, kind)],
        in_store=[component_json(hole, c) for kind in Kind for c in hole.stored(kind)],
        sealed_in=[component_json(hole, c) for kind in Kind for c in hole.sealed_in(kind)],
        levels=_levels(hole),
        readings=_readings(hole),
        samples=[_sample(s) for s in hole.samples],
        findings=[
            {**due_json(hole.tag, f), **standing_json(said.get(f.occurrence), day)} for f in loud
        ],
        silenced=[{"what": what, "why": why} for what, why in quiet.items()],
        questions=[{"key": q.key, "topic": q.topic, "text": q.text} for q in questions(hole)],
        visits=[visit_json(v) for v in newest_first(hole, *SheetKind)],
        files=[file_json(f, hole.tag) for f in hole.files],
        load=_load(hole, loud, day),
    )


def well_json(hole: Hole) -> Shape:
    """Which well it is and where."""
    site, system = hole.site, hole.system
    place = None
    if site is not None:
        names = (
            "road", "town", "region", "postcode", "latitude", "longitude",
            "access", "well_head", "notes",
        )  # fmt: skip
        place = {name: getattr(site, name) for name in names}
    return {
        "tag": hole.tag,
        "permit_no": hole.permit_no,
        "role": hole.role.value,
        "status": hole.status.value,
        "use": hole.use,
        "entered_on": day_json(hole.entered_on),
        "notes": hole.notes,
        "site": place,
        "system": system
        and {
            "name": system.name,
            "rise_to_tank_ft": system.rise_to_tank_ft,
            "other_wells": list(system.other_wells),
            "other_sites": [site.address for site in system.other_sites],
            "other_customers": [
                {"site": site.address, **occupant_json(o)}
                for site in system.other_sites
                for o in others_now(site, hole.day)
            ],
        },
    }


def occupant_json(occupant: Occupant) -> Shape:
    """A customer at the property, and how to reach him."""
    return {
        "name": occupant.name,
        "since": when_json(occupant.since),
        "contacts": [
            {"way": c.way.value, "value": c.value, "may_use": c.may_use.value}
            for c in occupant.contacts
        ],
        "notes": occupant.notes,
    }


def _bore(hole: Hole) -> Shape:
    depth = hole.fact(Quantity.DEPTH_FT)
    return {
        "construction": hole.construction.value,
        "driller": hole.driller,
        "drilled_on": when_json(hole.drilled_on),
        "flowing": hole.flowing,
        "stick_up_ft": hole.stick_up_ft,
        "frost_depth_ft": hole.frost_depth_ft,
        "reworked_on": day_json(hole.reworked_on),
        "depth": fact_json(depth),
        "depth_below_ground_ft": hole.depth_ft(),
        "before_work": {
            quantity.value: _before_work(hole, quantity)
            for quantity in (Quantity.DEPTH_FT, Quantity.YIELD_GPM)
        },
        "intervals": [_interval(i) for i in hole.intervals],
    }


def _before_work(hole: Hole, quantity: Quantity) -> Shape | None:
    """What was known before the last work that ended it, and that work; null where none did."""
    found = hole.before_work(quantity)
    if found is None:
        return None
    fact, work = found
    done = {"work": work.reason.value, "work_on": day_json(work.end or work.start)}
    return {**(fact_json(fact) or {}), **done}


def _interval(interval: Interval) -> Shape:
    return {
        "kind": interval.kind.value,
        "from_ft": interval.from_ft,
        "to_ft": interval.to_ft,
        "diameter_in": interval.diameter_in,
        "material": interval.material,
        "pressure_psi": interval.pressure_psi,
        "volume_gal": interval.volume_gal,
        "basis": interval.basis.value,
        "as_of": when_json(interval.when),
    }


def component_json(hole: Hole, component: Component) -> Shape:
    """A part that is or was there: its span, and each field that is known as a fact."""
    part = component.part
    shape: Shape = {
        "kind": component.kind.value,
        "uid": component.uid,
        "basis": component.basis.value,
        "noted_on": day_json(component.noted_on),
        "set_on": when_json(component.set_on),
        "set_on_basis": component.setting.basis.value,
        "pulled_on": when_json(component.pulled_on),
        "why_pulled": component.why_pulled,
        "cause": component.cause.value if component.cause else None,
        "absences": [
            {
                "out_on": day_json(away.out_on),
                "back_on": day_json(away.back_on),
                "why": away.why,
                "cause": away.cause.value if away.cause else None,
            }
            for away in component.absences
        ],
        "facts": {
            f.name: fact_json(fact)
            for f in fields(part)
            if (fact := component.fact(f.name, unit_of(f.name))) is not None
        },
        "told_otherwise": [
            {
                "field": said.field,
                "value": value_json(said.value),
                "basis": said.basis.value,
                "noted_on": day_json(said.noted_on),
            }
            for said in component.doubts
        ],
    }
    if isinstance(part, Pipe):
        shape["rating_worked_out_psi"] = None if part.rating_psi else rating_psi(part)
    if isinstance(part, Cable):
        shape["inspected"] = _wear(hole, component)
    return shape


def _wear(hole: Hole, component: Component) -> Shape:
    seen = wear(hole, component)
    return {
        "splices": seen.splices,
        "splices_on": day_json(seen.splices_on),
        "rubs": seen.rubs,
        "rubs_on": day_json(seen.rubs_on),
    }


def _levels(hole: Hole) -> Shape:
    """The newest level in each group of states, and every level that still holds."""
    told = hole.valid_observations(Quantity.WATER_LEVEL_FT)
    return {
        "static": _below_ground(hole, hole.fact(Quantity.WATER_LEVEL_FT)),
        "pumping": _below_ground(hole, hole.level(LevelState.PUMPING)),
        "all": [_observation(o) for o in reversed(told)],
    }


def _below_ground(hole: Hole, fact: Fact | None) -> Shape | None:
    shape = fact_json(fact)
    if fact is None or shape is None:
        return None
    below_ft = None if fact.value is None else hole.below_ground(fact)
    return {**shape, "below_ground_ft": below_ft}


def _observation(seen: Observation) -> Shape:
    shape = fact_json(seen.fact()) or {}
    return {**shape, "at_gpm": seen.at_gpm, "minutes": seen.minutes}


def _readings(hole: Hole) -> Shape:
    """What counts of every quantity but levels, with the last measured value beside it.

    What was read of a part that is gone is in the history.
    """
    shapes: Shape = {}
    for quantity in Quantity:
        fact = current(hole, quantity)
        if fact is None or quantity is Quantity.WATER_LEVEL_FT:
            continue
        shapes[quantity.value] = {
            **(fact_json(fact) or {}),
            "last_measured": fact_json(last_measured(hole, quantity, fact)),
        }
    return shapes


def _sample(sample: Sample) -> Shape:
    return {
        "taken_on": when_json(sample.taken_on),
        "bacteria": sample.bacteria.value if sample.bacteria else None,
        # What was measured; null where it was not looked for or not found (see results).
        "nitrate_mg_l": _measured(sample, "nitrate_mg_l"),
        "arsenic_mg_l": _measured(sample, "arsenic_mg_l"),
        "results": {
            word: {"value": found.value, "below": found.below}
            for word, found in sample.results.items()
        },
        "laboratory": sample.laboratory,
        "note": sample.note,
        "basis": sample.basis.value,
    }


def _measured(sample: Sample, word: str) -> float | None:
    found = sample.results.get(word)
    return None if found is None or found.below else found.value


def visit_json(visit: Visit) -> Shape:
    """A visit, a call or the opening record."""
    shape: Shape = {
        "uid": visit.uid,
        "number": visit.number,
        "kind": visit.kind.value,
        "start": day_json(visit.start),
        "end": day_json(visit.end),
        "reason": visit.reason.value,
        "crew": list(visit.crew),
        "opened": visit.opened,
        "disinfected": visit.disinfected,
        "left_without_pump": visit.left_without_pump,
        "left_for_next_time": visit.left_for_next_time,
        "notes": visit.notes,
    }
    if visit.kind is SheetKind.CALL:
        told = ("caller", "caller_phone", "symptom", "promised", "outcome")
        shape |= {name: getattr(visit, name) for name in told}
    return shape


def _load(hole: Hole, loud: Sequence[Finding], day: date) -> Shape:
    weighed = load(hole)
    return {
        "string_ft": weighed.feet,
        "hook_lb": weighed.weight_lb,
        "more_than_lb": weighed.more_than_lb,
        "unknown": list(weighed.unknown),
        "taken": list(weighed.taken),
        "told": weighed.told,
        "lines": [{"label": line.label, "text": line.text} for line in load_lines(hole, loud)],
        "cautions": list(cautions(hole, day)),
    }
