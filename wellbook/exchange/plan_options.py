"""What may be said of a planned string by an option or a short question."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from wellbook.terms import Kind

NO_VALVES = "none"


@dataclass(frozen=True, slots=True)
class PlanOption:
    """One thing that an option, or a question, says of a planned string.

    Parameters
    ----------
    flag
        As it is typed.
    kind, field
        The part and the field of the sheet that it speaks of.
    metavar, help
        For the help; `metavar` may be empty.
    question
        As it is asked; empty where it is not.
    """

    flag: str
    kind: Kind
    field: str
    metavar: str
    help: str
    question: str = ""

    @property
    def name(self) -> str:
        """The flag as a name: "cut_out"."""
        return self.flag.removeprefix("--").replace("-", "_")


OPTIONS = (
    PlanOption(
        "--pump",
        Kind.PUMP,
        "model",
        "MODEL",
        "A pump of the shop's list.",
        "Pump, a model of the shop's list (Enter: by hp and flow)",
    ),
    PlanOption("--hp", Kind.PUMP, "hp", "", "Without a model: its motor, such as 3/4.", "  its hp"),
    PlanOption(
        "--gpm",
        Kind.PUMP,
        "rated_gpm",
        "GPM",
        "Without a model: its rated flow.",
        "  its rated flow, gpm",
    ),
    PlanOption(
        "--depth", Kind.PUMP, "set_depth_ft", "FT", "Where the pump is to hang.", "  set at, ft"
    ),
    PlanOption(
        "--pipe",
        Kind.PIPE,
        "sections",
        "SECTIONS",
        'From the top: "0-200 galvanized sch 40 1-1/4; 200-380 pe4710 SIDR 9 1".',
        "Pipe from the top, such as 0-300 pe4710 SIDR 7 1-1/4",
    ),
    PlanOption(
        "--rating",
        Kind.PIPE,
        "rating_psi",
        "PSI",
        "What is printed on the pipe.",
        "  its rating, psi, where it is printed",
    ),
    PlanOption(
        "--joint",
        Kind.PIPE,
        "joint_ft",
        "FT",
        "Length of a joint of the pipe.",
        "  length of a joint, ft",
    ),
    PlanOption(
        "--awg",
        Kind.CABLE,
        "awg",
        "GAUGE",
        "The cable's gauge, such as 10.",
        "Cable, its gauge",
    ),
    PlanOption(
        "--conductors",
        Kind.CABLE,
        "conductors",
        "",
        "Its conductors, without the ground.",
        "  its conductors, without the ground",
    ),
    PlanOption(
        "--valves",
        Kind.CHECK_VALVE,
        "depths",
        "FT,...",
        f"Depths of all check valves above the pump's own: 100,300; or {NO_VALVES}.",
        "Check valves at, ft",
    ),
    PlanOption("--seal", Kind.SEAL, "material", "MATERIAL", "Of the seal or pitless.", "Seal, of"),
    PlanOption("--cut-in", Kind.SWITCH, "cut_in_psi", "PSI", "Where the switch starts it."),
    PlanOption(
        "--cut-out",
        Kind.SWITCH,
        "cut_out_psi",
        "PSI",
        "Where the switch stops it.",
        "Switch, cut-out, psi",
    ),
    PlanOption(
        "--setpoint",
        Kind.CONTROL,
        "setpoint_psi",
        "PSI",
        "In place of a switch: what a drive holds.",
    ),
)
"""In the order in which they are listed and asked."""


def option_at(path: tuple[str | int, ...]) -> str | None:
    """The option that said what stands at a place of the sheet; None where none did."""
    steps = [step for step in path if not isinstance(step, int)]
    for option in OPTIONS:
        fields = {option.field, "depth_ft"} if option.kind is Kind.CHECK_VALVE else {option.field}
        if steps[1:2] == [option.kind.value] and steps[-1] in fields:
            return option.flag
    return None


def asked(said: Mapping[str, str], ask: Callable[[str], str]) -> dict[str, str]:
    """The options with what was answered for those that were not given; Enter leaves one out."""
    answers = dict(said)
    for option in OPTIONS:
        by_model = option.name in ("hp", "gpm") and answers.get("pump")
        if option.question and not answers.get(option.name) and not by_model:
            answers[option.name] = ask(option.question).strip()
    return answers
