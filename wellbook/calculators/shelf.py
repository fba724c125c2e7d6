"""Which calculators there are, by name; each module is imported when one of its own is asked for."""

from __future__ import annotations

from importlib import import_module

from wellbook.calculators.calculator import Calculator
from wellbook.errors import WellbookError

# Name -> module of this package; the calculator there has the name in capitals.
NAMES: dict[str, str] = {
    "column-pressure": "pressures",
    "pipe-limit": "pressures",
    "friction": "hydraulics",
    "total-head": "hydraulics",
    "pump-lift": "hydraulics",
    "operating-point": "hydraulics",
    "voltage-drop": "electrics",
    "cable-size": "electrics",
    "winding": "electrics",
    "unbalance": "electrics",
    "tank": "tanks",
    "disinfect": "tanks",
    "bore": "wells",
    "specific-capacity": "wells",
    "recovery": "wells",
    "pumping-test": "pumping",
    "string-weight": "hoist",
}


def the_calculator(name: str) -> Calculator:
    """The calculator of that name.

    Raises
    ------
    WellbookError
        Where none has it; it lists them.
    """
    if name not in NAMES:
        raise WellbookError(f"no calculator is called '{name}'; there are: {', '.join(NAMES)}")
    module = import_module(f"wellbook.calculators.{NAMES[name]}")
    found: Calculator = getattr(module, name.upper().replace("-", "_"))
    return found
