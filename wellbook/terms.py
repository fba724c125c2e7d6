"""The trade's words as enumerations: one place that says which words the book knows.

The values are what stands in a sheet, in the database (as text under a CHECK) and in JSON; the
label is what is shown to people.
"""

from __future__ import annotations

from enum import StrEnum


class Word(StrEnum):
    """A word of the trade, with the form in which people read it."""

    @property
    def label(self) -> str:
        """The word as shown on a screen.

        >>> Basis.DRILLERS_LOG.label
        'drillers log'
        """
        return self.value.replace("_", " ")


class Basis(Word):
    """What a fact rests on, best first."""

    MEASURED = "measured"
    NAMEPLATE = "nameplate"
    DRILLERS_LOG = "drillers_log"
    PAPER_RECORD = "paper_record"
    CUSTOMER_TOLD = "customer_told"
    ESTIMATED = "estimated"

    @property
    def rank(self) -> int:
        """0 for the best basis; larger is weaker.

        >>> Basis.MEASURED.rank < Basis.CUSTOMER_TOLD.rank
        True
        """
        return _RANKS[self]

    @property
    def mark(self) -> str:
        """One sign for a narrow screen: measured, on paper or a plate, or only told."""
        if self is Basis.MEASURED:
            return "●"
        return "○" if self in (Basis.CUSTOMER_TOLD, Basis.ESTIMATED) else "◐"


_RANKS = {basis: rank for rank, basis in enumerate(Basis)}

TOLD = frozenset({Basis.CUSTOMER_TOLD, Basis.ESTIMATED})
"""What somebody said, or guessed: it is kept beside what was seen, and takes the place of nothing."""

ON_PAPER = frozenset({Basis.DRILLERS_LOG, Basis.PAPER_RECORD})
"""Copied from paper: it is as old as the paper, not as the day on which it was copied."""


class Severity(Word):
    """How bad a finding is, worst first."""

    ACT = "act"
    PLAN = "plan"
    WATCH = "watch"
    ASK = "ask"


class Occasion(Word):
    """When a finding is worth something: nobody pulls a working pump because of a splice."""

    NOW = "now"
    NEXT_VISIT = "next_visit"
    NEXT_PULL = "next_pull"


class Role(Word):
    """Whose well it is: the shop's own care, or a public record kept for reference."""

    OURS = "ours"
    REFERENCE = "reference"


class WellStatus(Word):
    """Whether the well serves anybody."""

    IN_USE = "in_use"
    SEASONAL = "seasonal"
    STANDBY = "standby"
    SEALED = "sealed"


class Construction(Word):
    """How the hole was made."""

    DRILLED = "drilled"
    DRIVEN = "driven"
    DUG = "dug"
    UNKNOWN = "unknown"


class SheetKind(Word):
    """What a sheet records: a visit, a call, or what was on record when the well was entered."""

    VISIT = "visit"
    CALL = "call"
    OPENING = "opening"

    @property
    def basis(self) -> Basis:
        """What its statements rest on where they do not say."""
        if self is SheetKind.VISIT:
            return Basis.MEASURED
        return Basis.CUSTOMER_TOLD if self is SheetKind.CALL else Basis.PAPER_RECORD


class SheetStatus(Word):
    """Whether a sheet counts. Nothing is ever overwritten."""

    VALID = "valid"
    SUPERSEDED = "superseded"
    WITHDRAWN = "withdrawn"


class Reason(Word):
    """Why the truck went out."""

    CHECK_UP = "check_up"
    NO_WATER = "no_water"
    LOW_YIELD = "low_yield"
    REPLACEMENT = "replacement"
    PULL_AND_INSPECT = "pull_and_inspect"
    YIELD_TEST = "yield_test"
    DISINFECTION = "disinfection"
    WATER_SAMPLE = "water_sample"
    HYDROFRACTURING = "hydrofracturing"
    DEEPENING = "deepening"
    CLEANING_OUT = "cleaning_out"
    OPENING_UP = "opening_up"
    CLOSING_DOWN = "closing_down"
    DECOMMISSIONING = "decommissioning"
    NEW_WELL = "new_well"
    OTHER = "other"


REWORKED = frozenset({Reason.HYDROFRACTURING, Reason.DEEPENING, Reason.CLEANING_OUT})
"""Work on the hole itself: what was known of its water level and yield before no longer holds."""

NEW_BOTTOM = frozenset({Reason.DEEPENING, Reason.CLEANING_OUT})
"""Work that leaves the hole another depth. Fracturing opens the rock at the sides, not the bottom."""


class Kind(Word):
    """A kind of component, from the top of the well down, then the water system's."""

    CAP = "cap"
    SEAL = "seal"
    PIPE = "pipe"
    CHECK_VALVE = "check_valve"
    CABLE = "cable"
    TORQUE_ARRESTOR = "torque_arrestor"
    PUMP = "pump"
    MOTOR = "motor"
    CONTROL = "control"
    TANK = "tank"
    SWITCH = "switch"
    BOOSTER = "booster"
    TREATMENT = "treatment"


IN_THE_HOLE = frozenset(
    {Kind.PIPE, Kind.CHECK_VALVE, Kind.CABLE, Kind.TORQUE_ARRESTOR, Kind.PUMP, Kind.MOTOR}
)
"""Moving one of these opens the well."""

OF_THE_SYSTEM = frozenset({Kind.TANK, Kind.SWITCH, Kind.BOOSTER, Kind.TREATMENT})
"""These belong to the water system, which several wells may feed."""

SECTIONED = frozenset({Kind.PIPE, Kind.CABLE})
"""These come in ordered sections from the top down."""


class PumpType(Word):
    """How a pump lifts water."""

    SUBMERSIBLE = "submersible"
    SHALLOW_JET = "shallow_jet"
    DEEP_JET = "deep_jet"
    HAND = "hand"
    LINESHAFT = "lineshaft"


class Cause(Word):
    """Why something failed."""

    AGE = "age"
    LIGHTNING = "lightning"
    DRY_RUN = "dry_run"
    SAND = "sand"
    CABLE = "cable"
    SPLICE = "splice"
    LEAK = "leak"
    UNKNOWN = "unknown"


class SealType(Word):
    """What closes the top of the casing round the drop pipe."""

    WELL_SEAL = "well_seal"
    PITLESS_ADAPTER = "pitless_adapter"
    PITLESS_UNIT = "pitless_unit"


class ControlType(Word):
    """What starts and guards the motor."""

    CONTROL_BOX = "control_box"
    DRIVE = "drive"
    RELAY = "relay"


class TankType(Word):
    """What holds the water under pressure, or without."""

    PRESSURE = "pressure"
    PLAIN = "plain"
    CISTERN = "cistern"


class MeasuringPoint(Word):
    """Where a depth is counted from."""

    GROUND = "ground"
    CASING_TOP = "casing_top"


class LevelState(Word):
    """What the well was doing when its level was read."""

    STATIC = "static"
    PUMPING = "pumping"
    RECENTLY_PUMPED = "recently_pumped"
    DRY = "dry"
    OBSTRUCTED = "obstructed"
    FLOWING = "flowing"
    UNKNOWN = "unknown"


class IntervalKind(Word):
    """What stands, or does not stand, between two depths of the bore."""

    CASING = "casing"
    LINER = "liner"
    SCREEN = "screen"
    OPEN_HOLE = "open_hole"
    FRACTURED = "fractured"


class ContactWay(Word):
    """A way to reach a customer."""

    PHONE = "phone"
    EMAIL = "email"
    POST = "post"


class Permission(Word):
    """Whether a way may be used to write or call."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


class Answer(Word):
    """What a customer said of a way to be reached by."""

    YES = "yes"
    NO = "no"


class RemindBy(Word):
    """How a customer wants to be reminded."""

    LETTER = "letter"
    POSTCARD = "postcard"
    EMAIL = "email"
    CALL = "call"
    NONE = "none"

    @property
    def way(self) -> ContactWay | None:
        """The way to reach somebody that it takes; None where none is wanted.

        >>> RemindBy.POSTCARD.way
        <ContactWay.POST: 'post'>
        """
        ways = {
            RemindBy.LETTER: ContactWay.POST,
            RemindBy.POSTCARD: ContactWay.POST,
            RemindBy.EMAIL: ContactWay.EMAIL,
            RemindBy.CALL: ContactWay.PHONE,
        }
        return ways.get(self)


class Security(Word):
    """How the line to a mail server is kept private."""

    NONE = "none"
    STARTTLS = "starttls"
    TLS = "tls"


class Said(Word):
    """What came of telling a customer that something is due. Done is none of these: a visit or a
    sample does that."""

    TOLD = "told"
    BOOKED = "booked"
    DECLINED = "declined"
    PUT_OFF = "put_off"


class MessageStatus(Word):
    """Where a message stands: written down before it goes, marked after.

    One that is still `going` when another run looks is in doubt: nobody can know whether it went.
    """

    GOING = "going"
    MADE = "made"
    REFUSED = "refused"
    NOT_SENT = "not_sent"


class PaperKind(Word):
    """A paper that a job owes somebody: the customer, the authority, the pump's maker."""

    REPORT = "report"
    LABORATORY_SHEET = "laboratory_sheet"
    PUMP_REPORT = "pump_report"
    SEALING_RECORD = "sealing_record"
    WARRANTY_RETURN = "warranty_return"


class Bacteria(Word):
    """What the laboratory says of bacteria."""

    ABSENT = "absent"
    COLIFORM_PRESENT = "coliform_present"
    ECOLI_PRESENT = "ecoli_present"


class Quantity(Word):
    """What can be measured or told of a well; the unit stands in the name.

    Electrical readings are quantities like any other: one shape for all that has a value, a date
    and a basis.
    """

    DEPTH_FT = "depth_ft"
    WATER_LEVEL_FT = "water_level_ft"
    YIELD_GPM = "yield_gpm"
    FLOW_GPM = "flow_gpm"
    STALL_LEVEL_FT = "stall_level_ft"
    PRESSURE_LOSS_PSI = "pressure_loss_psi"
    PRECHARGE_PSI = "precharge_psi"
    CUT_IN_PSI = "cut_in_psi"
    CUT_OUT_PSI = "cut_out_psi"
    SUPPLY_V = "supply_v"
    RUNNING_A = "running_a"
    INSULATION_MEGOHM = "insulation_megohm"
    WINDING_OHM = "winding_ohm"
    HYDROGEN_SULFIDE_MG_L = "hydrogen_sulfide_mg_l"
    PH = "ph"
    PEOPLE = "people"

    @property
    def unit(self) -> str:
        """The unit, read from the name.

        >>> Quantity.WATER_LEVEL_FT.unit, Quantity.PH.unit
        ('ft', '')
        """
        for unit in ("ft", "gpm", "psi", "v", "a", "megohm", "ohm", "mg_l"):
            if self.value.endswith("_" + unit):
                return unit
        return ""

    @property
    def label(self) -> str:
        """The name without its unit.

        >>> Quantity.INSULATION_MEGOHM.label
        'insulation'
        """
        unit = self.unit
        return self.value.removesuffix("_" + unit if unit else "").replace("_", " ")


CHANGING = frozenset(set(Quantity) - {Quantity.DEPTH_FT})
"""Quantities of which the newest value counts. A depth stays: of it the best basis does."""


class FoundKind(Word):
    """What is found at a visit."""

    SPLICE = "splice"
    RUB = "rub"
    CORROSION = "corrosion"
    LEAK = "leak"
    SAND = "sand"
    SCALE = "scale"
    IRON_BACTERIA = "iron_bacteria"
    LIGHTNING_MARK = "lightning_mark"
    LOOSE_CAP = "loose_cap"
    DAMAGE = "damage"
    OTHER = "other"


KNOWN_AS = "known as "
"""A line of a well's notes that begins so says a name of the well: it is found by it."""


class PairOf(Word):
    """Of what there can be doubles."""

    CUSTOMER = "customer"
    WELL = "well"


class PairDecision(Word):
    """What was decided of two records: that they are one, or two."""

    JOINED = "joined"
    APART = "apart"


class Verdict(Word):
    """What a check says of a string. That it cannot be said is an answer of its own."""

    PASS = "pass"
    FAIL = "fail"
    CANNOT_SAY = "cannot_say"
