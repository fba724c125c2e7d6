"""The list for the truck, in words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pipe, Seal
from wellbook.present.lines import Line
from wellbook.present.part_texts import joints_text, wires_text
from wellbook.present.questions import flows_without_pump
from wellbook.present.string_lines import sorted_down
from wellbook.quantities import show
from wellbook.rules.bringing import Bring, LikeCable, StrongerPipe, bring
from wellbook.rules.finding import Finding
from wellbook.rules.hoist import Load, load
from wellbook.rules.materials import comes_in_coils
from wellbook.terms import Kind, SealType, WellStatus


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
    groups = _bring(hole, weighed.feet, findings)
    yield Line("bring", "; ".join(f"{lead}{', '.join(things)}" for lead, things in groups))


def things_to_bring(hole: Hole, findings: Sequence[Finding]) -> Iterator[str]:
    """What the line says of what to bring, each thing for itself: to be ticked off on paper."""
    feet = load(hole).feet
    if feet is not None and (hole.closed_without_pump is None or hole.down(Kind.PIPE)):
        for lead, things in _bring(hole, feet, findings):
            yield from (f"{lead}{thing}" for thing in things)


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


def _bring(
    hole: Hole, feet: float, findings: Sequence[Finding]
) -> list[tuple[str, tuple[str, ...]]]:
    """What to bring, by why: the word before it, and the things."""
    wanted = bring(hole, feet, findings)
    cable = "" if wanted.cable is None else _cable(wanted.cable)
    due = wanted.cable is not None and wanted.cable.due
    pipe = "" if wanted.pipe is None else _pipe(wanted.pipe)
    groups = (
        ("to replace: ", (pipe, cable if due else "")),
        ("in case: ", ("" if due else cable,)),
        ("", tuple(_small(hole, wanted))),
    )
    named = [(lead, tuple(thing for thing in things if thing)) for lead, things in groups]
    return [(lead, things) for lead, things in named if things]


def _pipe(pipe: StrongerPipe) -> str:
    size = f"{' and '.join(pipe.sizes_in)} in " if pipe.sizes_in else ""
    return f"{show(pipe.length_ft, 'ft')} of {size}pipe rated over {math.ceil(pipe.over_psi)} psi"


def _cable(cable: LikeCable) -> str:
    length = show(cable.length_ft, "ft")
    if cable.like is None:
        return f"{length} of cable, gauge unknown"
    return f"{length} of #{cable.awg} {wires_text(cable.like)}".rstrip() + " cable"


def _small(hole: Hole, wanted: Bring) -> Iterator[str]:
    if wanted.cable is not None:
        yield "splice kit"
        yield "tape"
    yield "foot valve" if wanted.foot_valve else "check valve"
    yield gaskets_text(hole)
    yield "bleach"


def gaskets_text(hole: Hole) -> str:
    """What the seal or pitless wants as it is opened."""
    found = hole.the(Seal)
    if found is None or found[1].type is None:
        return "gaskets for seal and pitless"
    if found[1].type is SealType.WELL_SEAL:
        return "well-seal gasket"
    return "pitless O-rings, lift-out pipe"
