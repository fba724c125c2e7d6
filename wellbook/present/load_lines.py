"""The list for the truck, in words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Pipe, Pump, Seal
from wellbook.present.lines import Line
from wellbook.present.part_texts import joints_text, wires_text
from wellbook.present.questions import flows_without_pump
from wellbook.present.string_lines import sorted_down
from wellbook.quantities import show
from wellbook.rules import names
from wellbook.rules.finding import Finding, Number
from wellbook.rules.hoist import Load, load
from wellbook.rules.materials import comes_in_coils
from wellbook.terms import Kind, Occasion, PumpType, SealType, WellStatus

_SPARE_FT = 20


def load_lines(hole: Hole, findings: Sequence[Finding]) -> Iterator[Line]:
    """What hangs, what it weighs, and what to bring.

    Parameters
    ----------
    hole
        The well as of the day of the list.
    findings
        Those that hold on it: what they say is to be replaced is on the list.
    """
    weighed = load(hole)
    closed = hole.closed_without_pump
    if closed is not None and not hole.down(Kind.PIPE):
        yield Line("hangs", f"nothing: in store since {closed.end or closed.start}")
        return
    if weighed.feet is None:
        yield Line("hangs", _nothing(hole))
        return
    yield Line("hangs", _hangs(hole, weighed))
    yield Line("bring", _bring(hole, weighed.feet, findings))


def _nothing(hole: Hole) -> str:
    if hole.not_yet_drilled:
        return "nothing: not drilled yet"
    if hole.down(Kind.PUMP) or hole.down(Kind.PIPE):
        return "length unknown: come prepared for the deepest well nearby"
    if hole.status is WellStatus.SEALED:
        return "nothing to pull: the well is sealed for good"
    if any(c.kind is Kind.PUMP for c in hole.components) or flows_without_pump(hole):
        return "nothing on record"
    return "unknown: nothing on record of what is down there"


def _hangs(hole: Hole, weighed: Load) -> str:
    pieces = list(dict.fromkeys(_coil_or_joints(hole, pipe) for _, pipe in _pipes(hole)))
    length = f"{show(weighed.feet or 0.0, 'ft')} of pipe"
    return f"{', '.join(p for p in (length, *pieces) if p)}; {weight_text(weighed)}"


def weight_text(weighed: Load) -> str:
    """What a string weighs, or that nobody knows; the same on the page and beside a plan."""
    taken = f" (unknown, taken: {', '.join(weighed.taken)})" if weighed.taken else ""
    if weighed.weight_lb is None:
        more = weighed.more_than_lb
        least = f"; surely more than {more:,} lb, the pipe alone and empty" if more else ""
        missing = ", ".join(weighed.unknown)
        return (
            f"WEIGHT UNKNOWN ({missing}): weigh it or ask before you choose a hoist{least}{taken}"
        )
    text = f"at most {weighed.weight_lb:,} lb full and hanging free"
    if weighed.told:
        text += ", if what was only told is right"
    return text + taken


def _pipes(hole: Hole) -> list[tuple[object, Pipe]]:
    return [(c, c.part) for c in sorted_down(hole, Kind.PIPE) if isinstance(c.part, Pipe)]


def _coil_or_joints(hole: Hole, pipe: Pipe) -> str:
    if pipe.joint_ft:
        return joints_text(hole, pipe)
    if comes_in_coils(pipe.material or ""):
        return (
            "one coil"
            if len(_pipes(hole)) == 1
            else f"{len(_pipes(hole))} lengths of coil, coupled"
        )
    return "joints of unknown length"


def _bring(hole: Hole, feet: float, findings: Sequence[Finding]) -> str:
    due = [f for f in findings if f.occasion is Occasion.NEXT_PULL]
    thin = [f.numbers for f in _of(due, hole.down(Kind.PUMP), names.VOLTAGE_DROP)]
    wanted = [int(_number(n, "awg_wanted")) for n in thin if n.get("awg_wanted")]
    pipe, cable = _pipe(hole, due), _cable(hole, feet, wanted) if _has_cable(hole) else ""
    worn = bool(_of(due, hole.down(Kind.CABLE), names.CABLE_AGE, names.CABLE_WEAR))
    another = worn or bool(thin)
    replace = ", ".join(p for p in (pipe, cable if another else "") if p)
    said = (
        f"to replace: {replace}" if replace else "",
        f"in case: {cable}" if cable and not another else "",
        ", ".join(_small(hole)),
    )
    return "; ".join(p for p in said if p)


def _of(due: Sequence[Finding], parts: Sequence[Component], *rules: str) -> list[Finding]:
    """What some rules found in some parts."""
    uids = {c.uid for c in parts}
    return [f for f in due if f.rule in rules and f.counts_from in uids]


def _pipe(hole: Hole, due: Sequence[Finding]) -> str:
    """The pipe to hang in place of what is rated below its load: how long, how wide, how strong."""
    found = {f.counts_from: f.numbers for f in _of(due, hole.down(Kind.PIPE), names.PIPE_RATING)}
    weak = [(pipe, found[c.uid]) for c, pipe in hole.parts(Pipe) if c.uid in found]
    if not weak:
        return ""
    feet = sum(_number(n, "bottom_ft") - (pipe.from_ft or 0.0) for pipe, n in weak)
    psi = max(_number(n, "with_cut_out_psi") for _, n in weak)
    sizes = dict.fromkeys(pipe.nominal_in for pipe, _ in weak if pipe.nominal_in)
    size = f"{' and '.join(sizes)} in " if sizes else ""
    return f"{show(feet, 'ft')} of {size}pipe rated over {math.ceil(psi)} psi"


def _number(numbers: Mapping[str, Number], name: str) -> float:
    return float(numbers[name] or 0.0)


def _type(hole: Hole) -> PumpType | None:
    pump = hole.the(Pump)
    return pump[1].type if pump else None


def _has_cable(hole: Hole) -> bool:
    return _type(hole) in (None, PumpType.SUBMERSIBLE)


def _small(hole: Hole) -> Iterator[str]:
    if _has_cable(hole):
        yield "splice kit"
        yield "tape"
    yield "foot valve" if _type(hole) is PumpType.SHALLOW_JET else "check valve"
    yield gaskets_text(hole)
    yield "bleach"


def _cable(hole: Hole, feet: float, wanted_awg: Sequence[int]) -> str:
    """Cable like the thickest down there; thicker where that is too thin for its run."""
    cables = [part for _, part in hole.parts(Cable)]
    # What was written down may end above the pump; what is brought does not.
    length = max([*(c.to_ft for c in cables if c.to_ft), feet if cables else feet + _SPARE_FT])
    known = [c for c in cables if c.awg is not None]
    if not known:
        return f"{show(length, 'ft')} of cable, gauge unknown"
    # The thickest gauge is the smallest number.
    thickest = min(known, key=lambda c: c.awg or 0)
    awg = min([thickest.awg or 0, *wanted_awg])
    return f"{show(length, 'ft')} of #{awg} {wires_text(thickest)}".rstrip() + " cable"


def gaskets_text(hole: Hole) -> str:
    """What the seal or pitless wants as it is opened."""
    found = hole.the(Seal)
    if found is None or found[1].type is None:
        return "gaskets for seal and pitless"
    if found[1].type is SealType.WELL_SEAL:
        return "well-seal gasket"
    return "pitless O-rings, lift-out pipe"
