"""What `check` and `plan` say of a string, for programs."""

from __future__ import annotations

from wellbook.hole.hole import Hole
from wellbook.present.envelope import Shape, day_json, envelope
from wellbook.present.materials_to_load import loading_line
from wellbook.present.string_report import Beside, StringReport
from wellbook.rules.check import Check
from wellbook.rules.duty import Duty
from wellbook.rules.loading import Item
from wellbook.terms import Verdict


def report_json(report: StringReport) -> Shape:
    """The whole answer."""
    return envelope(
        "wellbook.plan" if report.planned else "wellbook.check",
        1,
        well=report.tag,
        day=day_json(report.day),
        verdict=report.verdict.value,
        missing=list(report.missing),
        checks=[check_json(c) for c in report.checks],
        well_gives=report.well_gives,
        gives=[duty_json(d) for d in report.duties],
        to_load=[_item(report.hole, item) for item in report.to_load],
        weight={
            "length_ft": report.weight.feet,
            "at_most_lb": report.weight.weight_lb,
            "more_than_lb": report.weight.more_than_lb,
            "unknown": list(report.weight.unknown),
            "taken": list(report.weight.taken),
            "told": report.weight.told,
        },
        beside=[_beside(b) for b in report.beside],
        comes_out=[kind.value for kind in report.comes_out],
        silenced=[{"what": rule, "why": why} for rule, why in report.silenced],
        cautions=list(report.cautions),
    )


def _item(hole: Hole, item: Item) -> Shape:
    """One thing to load: its numbers, the part that it is, and both in words."""
    return {
        "what": item.what,
        "text": loading_line(hole, item).text,
        "count": item.count,
        "spare": item.spare,
        "length_ft": None if item.length_ft is None else round(item.length_ft, 6),
        "down_ft": None if item.down_ft is None else round(item.down_ft, 6),
        "supply_run_ft": item.supply_run_ft,
        "each_ft": item.each_ft,
        "depths_ft": list(item.depths_ft),
        "ends": item.ends,
        "litres": None if item.litres is None else round(item.litres, 6),
        "gallons": None if item.gallons is None else round(item.gallons, 6),
        "psi": item.psi,
        "part": None if item.part is None else item.part.uid,
        "notes": list(item.notes),
    }


def check_json(check: Check) -> Shape:
    """One check."""
    return {
        "rule": check.rule,
        "aspect": check.aspect,
        "subject": check.subject,
        "verdict": check.verdict.value,
        "severity": _severity(check),
        "decides": check.decides,
        "value": None if check.value is None else round(check.value, 6),
        "limit": check.limit,
        "limit_is": "least" if check.at_least else "most",
        "unit": check.unit,
        "margin": None if check.margin is None else round(check.margin, 6),
        "says": check.says,
        "taken": list(check.taken),
        "missing": list(check.missing),
        "source": check.source,
    }


def _severity(check: Check) -> str | None:
    """Of what does not pass; a finding that two checks share is of the one that fails."""
    if check.finding is None or check.verdict is Verdict.PASS:
        return None
    return check.finding.severity.value


def duty_json(duty: Duty) -> Shape:
    """What it gives at one level."""
    return {
        "where": duty.where,
        "level_ft": duty.level_ft,
        "cut_out_psi": duty.cut_out_psi,
        "low_gpm": round(duty.low_gpm, 6),
        "high_gpm": None if duty.high_gpm is None else round(duty.high_gpm, 6),
        "lifts": duty.lifts,
        "at_least": duty.at_least,
        "begins_later": duty.begins_later,
        "cut_out_known": duty.cut_out_known,
        "estimated": duty.estimated,
        "unsaid": duty.unsaid,
    }


def _beside(row: Beside) -> Shape:
    return {
        "rule": row.rule,
        "aspect": row.aspect,
        "now": None if row.now is None else check_json(row.now),
        "planned": None if row.planned is None else check_json(row.planned),
    }
