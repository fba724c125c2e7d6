"""The pressures that a pump works against: where its switch or drive starts and stops it, and the rise.

One order for both ends of the switch: what is written of the part that is there now, or what was
measured of it since. A reading of the switch that was pulled says nothing of the one that took its
place, though both are of one day.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Booster, Control, Switch, Tank
from wellbook.rules import names
from wellbook.rules.finding import COMMON_PRACTICE, Settings, Threshold, since
from wellbook.rules.part_readings import as_read, holds_since, read_of
from wellbook.rules.spans import Span, both, none_since
from wellbook.terms import Basis, Kind, Quantity, TankType

USUAL_CUT_OUT: Final = Threshold(
    "usual_cut_out_psi",
    50,
    "the cut-out taken where none is recorded",
    "30/50 is the switch most often set: " + COMMON_PRACTICE,
    0,
    200,
)


def usual_cut_out(settings: Settings) -> float:
    """The cut-out that pages and drawings, which are of no rule, take where none is recorded, psi."""
    name = f"{names.PIPE_RATING}.{USUAL_CUT_OUT.name}"
    return float(settings.changed.get(name, USUAL_CUT_OUT.default))


def cut_in(hole: Hole) -> tuple[float | None, Span]:
    """The pressure at which the pump starts, psi, None where nobody knows; and from when."""
    switch = hole.the(Switch)
    if switch is not None:
        return as_read(hole, switch[0], "cut_in_psi", Quantity.CUT_IN_PSI)
    return _without_part(hole, Quantity.CUT_IN_PSI, none_since(hole, Kind.SWITCH))


def cut_out(hole: Hole) -> tuple[float | None, Span]:
    """The pressure at which the pump stops, psi, None where nobody knows; and from when.

    It is the switch's cut-out, else the drive's setpoint. Into an open cistern there is none, and the
    switch is the booster's.
    """
    cistern = open_cistern(hole)
    if cistern is not None:
        return 0.0, cistern
    switch, control = hole.the(Switch), hole.the(Control)
    # An earlier switch, drive or cistern that is gone may have stopped the pump at another pressure.
    closed = _cistern_gone(hole)
    gone = both(none_since(hole, Kind.SWITCH), none_since(hole, Kind.CONTROL), closed)
    if switch is not None:
        psi, span = as_read(hole, switch[0], "cut_out_psi", Quantity.CUT_OUT_PSI)
        if psi is not None:
            return psi, both(span, closed)
    if control is not None and control[1].setpoint_psi is not None:
        psi, span = as_read(hole, control[0], "setpoint_psi", Quantity.CUT_OUT_PSI)
        return psi, both(span, none_since(hole, Kind.SWITCH), closed)
    if switch is not None:
        return None, gone
    return _without_part(hole, Quantity.CUT_OUT_PSI, gone)


def open_cistern(hole: Hole) -> Span | None:
    """From when the well's pump fills a cistern that is open to the air; None where it does not."""
    cisterns = [c for c, tank in hole.parts(Tank) if tank.type is TankType.CISTERN]
    booster = hole.the(Booster)
    if not cisterns or (booster is None and hole.down(Kind.SWITCH)):
        return None
    parts = [*cisterns, *([booster[0]] if booster else [])]
    return both(*(since(part.set_on, part.noted_on) for part in parts))


def _cistern_gone(hole: Hole) -> Span:
    """From when no cistern is there that once was."""
    out = [
        c.pulled_on
        for c in hole.components
        if c.pulled_on is not None and isinstance(c.part, Tank) and c.part.type is TankType.CISTERN
    ]
    return both((None, date.min), *((when.earliest, when.latest) for when in out))


def _without_part(hole: Hole, quantity: Quantity, gone: Span) -> tuple[float | None, Span]:
    """As last measured, of a switch that nobody wrote down."""
    read = [o for o in read_of(hole, quantity, []) if o.basis is Basis.MEASURED]
    if not read:
        return None, gone
    return read[-1].value, both(gone, holds_since(hole, read[-1], []))


@dataclass(frozen=True, slots=True)
class Stop:
    """The pressure at which the pump stops.

    Parameters
    ----------
    psi
        As on record; else the usual one.
    known
        Whether it is on record.
    since
        From when.
    """

    psi: float
    known: bool
    since: Span

    @property
    def words(self) -> str:
        """What is pumped against: "50 psi", or "the open cistern"."""
        return against(self.psi)

    @property
    def taken(self) -> tuple[str, ...]:
        """What a check says was taken for it; nothing where it is on record."""
        return () if self.known else (f"a cut-out of {self.psi:g} psi",)

    @property
    def assumed(self) -> str:
        """The words for one that nobody wrote down."""
        return "" if self.known else " (cut-out not recorded: usual one taken)"


def against(psi: float) -> str:
    """A pressure at the top in words.

    >>> against(50), against(0)
    ('50 psi', 'the open cistern')
    """
    return f"{psi:g} psi" if psi else "the open cistern"


def pumped_against(psi: float) -> str:
    """The same, behind a flow.

    >>> pumped_against(50), pumped_against(0)
    ('against 50 psi', 'into the open cistern')
    """
    return f"{'against' if psi else 'into'} {against(psi)}"


def stop_of(hole: Hole, usual_psi: float) -> Stop:
    """Where the pump stops; where nobody knows, at the usual cut-out, psi."""
    psi, since = cut_out(hole)
    return Stop(usual_psi if psi is None else psi, psi is not None, since)


def rise_ft(hole: Hole) -> float:
    """How far up the tank is above the well head; one below it takes nothing off."""
    return max((hole.system.rise_to_tank_ft or 0.0) if hole.system else 0.0, 0.0)


def up_to_tank(rise: float) -> str:
    """The rise in words, behind a depth or a pressure; nothing where there is none."""
    return f" and {rise:g} ft up to the tank" if rise else ""
