"""The floors: each package imports only from those below it, and start-up stays light."""

from __future__ import annotations

import ast
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "wellbook"
FLOORS = {
    "terms": 1,
    "days": 1,
    "single_dates": 1,
    "date_words": 1,
    "dates": 1,
    "quantities": 1,
    "limits": 1,
    "errors": 1,
    "versions": 1,
    "recurrence": 1,
    "plain_text": 1,
    "engineering": 2,
    "likeness": 2,
    "calculators": 3,
    "hole": 3,
    "rules": 4,
    "whole_files": 5,
    "store": 5,
    "exchange": 6,
    "reminders": 6,
    "present": 7,
    "paper": 8,
    "cli": 9,
    "__main__": 10,
    "__init__": 1,
}
PURE = tuple(name for name, floor in FLOORS.items() if floor <= 4 and name != "__init__")
MODULES = sorted(PACKAGE.rglob("*.py"))


def floor_of(name: str) -> float:
    return FLOORS[name]


def imported(module: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(module.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
            names |= {f"{node.module}.{a.name}" for a in node.names}
    return names


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(PACKAGE)))
def test_nothing_imports_upward(module: Path) -> None:
    own = module.relative_to(PACKAGE).parts[0].removesuffix(".py")
    if own.startswith("_migrations"):
        return
    for name in imported(module):
        parts = name.split(".")
        if parts[0] == "wellbook" and len(parts) > 1 and parts[1] in FLOORS:
            assert floor_of(parts[1]) <= floor_of(own), f"{module.name} imports {name}"
        elif own in PURE and parts[0] != "wellbook":
            assert parts[0] in sys.stdlib_module_names | {"dateutil"}, f"{module.name}: {name}"


OF_A_RULE = {
    f"wellbook.rules.{module.stem}"
    for module in (PACKAGE / "rules").glob("*.py")
    if "\nRULE = " in module.read_text("utf-8")
}


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(PACKAGE)))
def test_a_rule_is_known_to_the_catalogue_only(module: Path) -> None:
    """What two rules need is a fact of the well, and stands in a module of its own."""
    assert OF_A_RULE
    if module.relative_to(PACKAGE) != Path("rules", "catalogue.py"):
        assert not imported(module) & OF_A_RULE


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(PACKAGE)))
def test_the_pure_floors_read_no_clock(module: Path) -> None:
    own = module.relative_to(PACKAGE).parts[0].removesuffix(".py")
    if own in PURE:
        text = module.read_text("utf-8")
        assert "date.today(" not in text
        assert "datetime.now(" not in text


# What is for a few commands each: paper, letters, spreadsheets, calendars, upgrades.
OUTSIDE = {"alembic", "defusedxml", "icalendar", "jinja2", "openpyxl", "phonenumbers", "reportlab"}
OUTSIDE |= {"dateutil", "segno", "smtplib", "vobject", "sqlalchemy.orm"}


def test_what_is_spared_is_there() -> None:
    """A name that is misspelt, or of what was given up, would spare nothing."""
    assert not {name for name in OUTSIDE | OF_OTHER_HOLES | BY_WORDS if find_spec(name) is None}


def test_help_imports_the_command_line_only() -> None:
    code = (
        "import sys; from wellbook import cli; cli.run(['--help']);"
        "ours = {m for m in sys.modules if m.startswith('wellbook')};"
        "ours -= {'wellbook', 'wellbook.cli', 'wellbook.cli.index', 'wellbook.errors'};"
        f"bad = {OUTSIDE | {'sqlalchemy', 'sqlite3', 'rich', 'psycopg'}!r} & set(sys.modules) | ours;"
        "sys.exit(f'imported: {bad}' if bad else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


NEVER = OUTSIDE | {"psycopg"}
BY_WORDS = {"wellbook.store.search", "wellbook.store.word_index"}
OF_OTHER_HOLES = {
    *("wellbook.store.entries", "wellbook.store.file_kinds", "wellbook.hole.said"),
    *("wellbook.engineering.pumping_tests", "wellbook.present.envelope"),
}
JUDGING = {"wellbook.rules.catalogue", "wellbook.store.judging"}
OTHER_FLOORS = {"wellbook.engineering", "wellbook.rules", "wellbook.hole", "wellbook.exchange"}


@pytest.mark.parametrize(
    ("words", "spared"),
    [
        (["find", "orla"], OTHER_FLOORS | {"wellbook.present.page", "rich.console"}),
        (["find", "orla", "--json"], OTHER_FLOORS | {"rich"}),
        (["due"], JUDGING | {"wellbook.hole.hole", "wellbook.present.page", "rich.console"}),
        (["due", "--json", "--severity", "act"], JUDGING | {"wellbook.hole.hole", "rich"}),
        (["checkups"], JUDGING | {"wellbook.hole.hole", "wellbook.present.page", "rich.console"}),
        (["history", "TF-0031"], JUDGING | {"wellbook.present.page_screen", "rich.console"}),
        (["near", "TF-0080", "--within", "3"], JUDGING | {"wellbook.present.page", "rich.console"}),
        (["near", "TF-0080", "--within", "3", "--json"], JUDGING | {"rich"}),
        (["files", "check"], JUDGING | {"wellbook.present.page", "rich.console"}),
        (["find", "orla"], {"wellbook.store.word_index", "wellbook.store.in_bulk"}),
        (["hole", "TF-0031"], {"wellbook.store.replaying", "wellbook.exchange", "rich.console"}),
        (["hole", "TF-0031"], BY_WORDS | OF_OTHER_HOLES),
        (["history", "TF-0031"], BY_WORDS | {"wellbook.hole.said", "wellbook.present.json_page"}),
    ],
    ids=lambda case: " ".join(case) if isinstance(case, list) else "",
)
def test_a_command_loads_only_what_it_speaks_of(
    words: list[str], spared: set[str], loaded_shop: Path
) -> None:
    given = ["--book", str(loaded_shop), *words]
    code = (
        f"import sys; from wellbook import cli; status = cli.run({given!r});"
        f" bad = {spared | NEVER!r} & set(sys.modules); sys.exit(f'imported: {{bad}}' if bad else status)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_parts_and_their_tables_have_the_same_fields() -> None:
    from wellbook.dates import When
    from wellbook.hole.fields import field_types
    from wellbook.hole.parts import PARTS
    from wellbook.store.tables import PART_TABLES

    for kind, part in PARTS.items():
        wanted = {"component_id", "kind"}
        for name, hint in field_types(part).items():
            ends = ("_earliest", "_latest", "_text") if hint is When else ("",)
            wanted |= {name + end for end in ends}
        assert set(PART_TABLES[kind].c.keys()) == wanted, kind
