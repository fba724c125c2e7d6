"""Which option a column of a file of cases is, and which one it was meant for where it is none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher

from wellbook.calculators.calculator import Option
from wellbook.calculators.units import spelled_unit, split_name

# A column of the file that bears the name of a result stands behind this in the answer.
GIVEN = "given_"

# What people head an option by that is unlike its name.
_ALSO: dict[str, tuple[str, ...]] = {
    "c": ("c_factor", "c_value", "hw_c", "hazen_williams_c", "hazen_williams"),
    "temperature_f": ("water_temp", "water_temperature", "water_temp_f", "water_temp_c"),
    "percent": ("percent_drop", "pct_drop", "max_drop", "allowed_drop"),
    "volts": ("supply_v", "line_v"),
    "phase": ("ph",),
    "awg": ("gauge", "wire"),
}
_SAME_UNIT = 0.7
_SAME_WORDS = 0.86
# Two letters may be anything: an `id` is no inside diameter.
_FEWEST_LETTERS = 3


def option_of(
    name: str, options: Sequence[Option], results: Sequence[str]
) -> tuple[Option, str] | None:
    """The option that a column is headed by, and the unit of its bare numbers; None where none is.

    Parameters
    ----------
    name
        The header, plain: `height_ft`, `height_m`; `given_awg`, where `awg` is an option and a result.
    """
    own = name.removeprefix(GIVEN) if name.removeprefix(GIVEN) in results else name
    for option in options:
        if option.name == own:
            return option, ""
    if name in results:
        return None
    for option in options:
        for head, unit in _heads(name, option):
            if head == _stem(option):
                return option, unit
    return None


def meant_by(name: str, options: Sequence[Option]) -> list[Option]:
    """The options that a header is nearly; none where it has a name of its own."""
    return [o for o in options if _is_near(name, o)]


def _is_near(name: str, option: Option) -> bool:
    stem = _stem(option)
    if name in _ALSO.get(option.name, ()):
        return True
    if not stem and spelled_unit(name, option.unit):
        return True  # "pct", "kw", "l_min", "v" beside percent, hp, gpm, volts
    if len(name) < _FEWEST_LETTERS:
        return False
    if option.name.startswith(f"{name}_") or option.name.endswith(f"_{name}"):
        return True  # "cut_out", "psi"
    if _squeezed(name) in (_squeezed(option.name), _squeezed(stem)):
        return True  # "cutout"
    if not stem:
        word = option.name.removesuffix("s")  # "voltage", "percentage"
        begins = "_" not in name and len(word) >= _FEWEST_LETTERS and name.startswith(word)
        begins = begins or word.startswith(name.removesuffix("s"))  # "sch", "threads"
        return begins or _alike(name, option.name) >= _SAME_WORDS
    heads = [head for head, _ in _heads(name, option) if len(head) >= _FEWEST_LETTERS]
    if any(stem.startswith(head) or _alike(head, stem) >= _SAME_UNIT for head in heads):
        return True  # "temp_f", "len_m", "cut_off_psi"
    return stem.startswith(name) or _alike(name, option.name) >= _SAME_WORDS


def _stem(option: Option) -> str:
    """Its name without its unit; "" where its unit is its name, or it has none."""
    _, ending = split_name(option.name)
    return option.name.removesuffix(f"_{ending}") if ending and ending != option.name else ""


def _heads(name: str, option: Option) -> Iterator[tuple[str, str]]:
    """What stands before a unit of the option's kind at the end of a header, and that unit."""
    words = name.split("_")
    for at in range(1, len(words)):
        unit = spelled_unit("_".join(words[at:]), option.unit)
        if unit:
            yield "_".join(words[:at]), unit


def _squeezed(name: str) -> str:
    return name.replace("_", "")


def _alike(one: str, other: str) -> float:
    return SequenceMatcher(None, one, other).ratio()
