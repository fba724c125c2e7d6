"""The README and the pages in docs stay true: help, rules and screens are made from the program.

WELLBOOK_RENEW=1 writes them anew.
"""

from __future__ import annotations

import importlib
import os
import re
import shlex
import typing
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import typer

from tests.pages import BLOCK, WEEK, as_shown
from wellbook import cli
from wellbook.calculators.calculator import Calculator
from wellbook.calculators.shelf import NAMES, the_calculator
from wellbook.engineering.curves import HeadCurve

README = Path(__file__).parents[1] / "README.md"


def kept(name: str, made: str) -> None:
    """Compare (or renew) the block of that name."""
    text = README.read_text("utf-8")
    pattern = re.compile(rf"(<!-- {re.escape(name)} -->\n).*?(<!-- end -->)", re.DOTALL)
    block = f"```\n{made.rstrip()}\n```\n"
    renewed = pattern.sub(lambda m: m.group(1) + block + m.group(2), text)
    if os.environ.get("WELLBOOK_RENEW"):
        README.write_text(renewed, "utf-8")
    assert pattern.search(text), f"the README has no block '{name}'"
    assert renewed == README.read_text("utf-8"), "run: WELLBOOK_RENEW=1 pytest tests/test_readme.py"


@pytest.fixture(autouse=True)
def fixed_width(monkeypatch: pytest.MonkeyPatch) -> None:
    """Help is as wide as the terminal that the tests run in."""
    monkeypatch.setenv("COLUMNS", "80")


def test_the_list_of_commands_is_true(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["--help"]) == 0
    kept("commands", capsys.readouterr().out)


PAGES = [README, *WEEK]


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_a_page_played_on_the_demo_book_says_what_it_says(
    page: Path,
    shop: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    """From top to bottom: its files are written, its commands run, on one copy of the book."""
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    monkeypatch.setenv("WELLBOOK_WHO", "Marit")
    monkeypatch.setenv("WELLBOOK_BOOK", str(shop))
    monkeypatch.chdir(tmp_path)

    def play(block: re.Match[str]) -> str:
        kind, name, text = block.groups()
        if kind == "file":
            Path(name).write_text(text, "utf-8")
            return block[0]
        return f"<!-- screen: {name} -->\n```\n{as_shown(name, capsys)}```\n<!-- end -->"

    text = page.read_text("utf-8")
    played = BLOCK.sub(play, text)
    if os.environ.get("WELLBOOK_RENEW"):
        page.write_text(played, "utf-8")
    assert played == page.read_text("utf-8"), "run: WELLBOOK_RENEW=1 pytest tests/test_readme.py"


def test_every_command_is_spoken_of() -> None:
    text = README.read_text("utf-8")
    for name in cli.COMMANDS:
        assert f"wellbook {name}" in text, name


# -- the pages in docs ---------------------------------------------------------------------------


def kept_page(name: str, made: str) -> None:
    """Compare (or renew) a whole page."""
    page = README.parent / "docs" / name
    if os.environ.get("WELLBOOK_RENEW"):
        page.write_text(made, "utf-8")
    assert made == page.read_text("utf-8"), "run: WELLBOOK_RENEW=1 pytest tests/test_readme.py"


def test_the_page_of_commands_is_true(capsys: pytest.CaptureFixture[str]) -> None:
    parts = [
        "# All commands, with their options\n\n"
        "As each says it with `--help`. `--book` may stand anywhere on the line.\n"
    ]
    for name in cli.COMMANDS:
        parts.append(f"\n## {name}\n")
        for words in _with_subcommands([name]):
            assert cli.run([*words, "--help"]) == 0
            parts.append(f"\n```\n{capsys.readouterr().out.rstrip()}\n```\n")
    kept_page("commands.md", "".join(parts))


def _with_subcommands(words: list[str]) -> Iterator[list[str]]:
    yield words
    program: Any = typer.main.get_group(cli.app)
    command = program.get_command(typer.Context(program), words[0])
    for name in getattr(command, "commands", {}):
        yield [*words, name]


def test_the_page_of_rules_is_true() -> None:
    from wellbook.present.rule_lines import limits
    from wellbook.rules.catalogue import RULES

    parts = [
        "# The rules\n\n"
        "Each is a small pure function (`wellbook/rules/`); `wellbook rules explain RULE` shows the"
        " same with the\nshop's own numbers. Change one with"
        " `wellbook rules set RULE.NUMBER VALUE`.\n\n"
        "Only wells that are the shop's own and in use owe anything. In use are wells of the status"
        " `in_use`,\n`seasonal` (somebody will drink from it again) and `standby` (it is kept for the"
        " day on which the other\none fails, and what is overdue is found out on that very day). A"
        " `sealed` well owes its sealing\nrecord alone, a reference well nothing. The status is the switch:"
        " `wellbook well edit WELL --status sealed`.\n"
    ]
    for rule in RULES:
        parts.append(f"\n## {rule.name}\n\n**{rule.title}**\n\n{rule.why.strip()}\n")
        if rule.thresholds:
            parts.append(
                "\n| number | default | what it can be | meaning | source |\n|---|---|---|---|---|\n"
            )
        for x in rule.thresholds:
            default = f"{x.default:g}" if isinstance(x.default, (int, float)) else x.default
            cells = (f"`{x.name}`", default, limits(rule, x), x.meaning, x.source)
            parts.append(f"| {' | '.join(cells)} |\n")
    kept_page("rules.md", "".join(parts))


def test_the_page_of_formulas_is_true(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(Path(__file__).parent / "engineering")
    kept_page("arithmetic.md", importlib.import_module("arithmetic").page())


_CALCULATORS = """# The desk calculators

Each works on its own: nothing has to be on record. `wellbook calc` lists them, and
`wellbook calc CALCULATOR --help` shows what is below. A number is in the unit that its option is named by, or
is written with its own: `97.5 m`, `3.5 bar`, `1-1/2 hp`. `--json` gives the numbers as they came out, unrounded.
The formulas behind them are held against published values in [arithmetic.md](arithmetic.md).

## A whole column of cases

`--from FILE.csv` (`-` is standard input) works out every row of a file. A column is headed by the name of an
option (`height_ft`, `Height ft`), or by it with another unit of the same kind (`height_m`, `cut_out_bar`); others
are carried through, and named once; one that is nearly an option (`heigth_ft`, `cutout`) is refused. An option on
the command line fills what a row lacks.

What comes out has the columns as they were, then the results, then `notes` (what the answer rests on, what to
mind, and why a result is empty, parted by `|`; defaults are in the table of options below, and in the `inputs` of
`--json`) and `error`. A result always stands under its own name: a column of the file that is called so is
written as `given_NAME`, and is still read where it is an option. Where a row cannot be worked out, its reason
stands there, the others are worked out all the same, and the exit status is 2. What came out can go in again:
its answer is worked out anew.

"""
_CASES = "well,height_ft,cut_out_psi\nA,300,50\nB,97.5 m,60\nC,about 400,60\n"


def test_the_page_of_calculators_is_true(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def screen(words: str) -> str:
        cli.run(shlex.split(words))
        said = capsys.readouterr()
        return f"\n```\n$ wellbook {words}\n{(said.out + said.err).rstrip()}\n```\n"

    monkeypatch.chdir(tmp_path)
    Path("cases.csv").write_text(_CASES, "utf-8")
    parts = [_CALCULATORS, f"```\n$ cat cases.csv\n{_CASES}```\n"]
    parts.append(screen("calc column-pressure --from cases.csv"))
    for calculator in map(the_calculator, NAMES):
        parts += _about(calculator)
        parts.append(screen(f"calc {calculator.name} {calculator.example}"))
    kept_page("calculators.md", "".join(parts))


def _about(calculator: Calculator) -> Iterator[str]:
    yield f"\n## {calculator.name}\n\n{calculator.title[:1].upper()}{calculator.title[1:]}.\n"
    yield "\n| option | what it is | default |\n|---|---|---|\n"
    for option in calculator.options:
        shown = "required" if option.required else option.shown_default
        choices = f" (one of: {', '.join(option.choices)})" if option.choices else ""
        yield f"| `{option.flag}` | {option.help}{choices} | {shown} |\n"
    results = ", ".join(f"`{name}`" for name in calculator.results)
    yield f"\nIt gives {results}.\n\nSource: {calculator.source}.\n"
    if any(option.kind is HeadCurve for option in calculator.options):
        yield "\n`--pump MODEL` takes curve, horsepower and rated flow from the shop's own list of pumps.\n"
    if calculator.cautions:
        yield "\nMind:\n\n"
        yield from (f"- {caution}\n" for caution in calculator.cautions)


# -- letters -------------------------------------------------------------------------------------

_LETTERS = """# Letters, cards, e-mails and calls

What is said to a customer is made from a template: a plain text file (UTF-8) that the shop may change. Its
first line is `Subject: ...`, then comes the body. A blank line parts two paragraphs, a line break is a line
break, and a line with nothing but `{% ... %}` on it vanishes.

- `{{ shop.name }}` puts in a field.
- `{% if one.ahead %} ... {% else %} ... {% endif %}` asks whether something is known, or is so; `and`, `or`,
  `not` and comparisons can stand there.
- `{% for one in told %} ... {% endfor %}` goes through a field that has several; so does
  `{% for well in wells %} ... {% for one in well.told %}`. Within it, `loop.first`,
  `loop.last`, `loop.index` and `loop.length` say where it is.
- `{# ... #}` is a note for the shop.

Nothing else can stand in a template: it cannot run a program, read a file or go on for ever. What somebody
typed into a name or a note is text on one line, whatever signs are in it. A template is tried on made-up facts
before it is used, with much and with little known, and a slip is named with its line.

A letter and a card have to give the shop's phone number (its name and address stand at the head of both); a
card has to fit on 4 x 6 inches, and anybody may read it, so put nothing on it that is the customer's own affair.
An e-mail has to give the shop's name, its whole postal address and a way out (15 U.S.C. 7704(a)(5)); this is no
legal advice.
"""


def test_the_page_of_letters_is_true() -> None:
    from wellbook.reminders import letter_facts as facts
    from wellbook.reminders.letter_filters import FILTERS
    from wellbook.reminders.letters import TemplateKind, default_template, render

    parts = [_LETTERS]
    for name, owner in (
        ("", facts.Facts),
        ("shop", facts.Shop),
        ("receiver", facts.Receiver),
        ("place", facts.Property),
        ("well", facts.OneWell),
        ("one", facts.Told),
    ):
        title = f"`{name}`: {owner.__doc__}" if name else "What a template can name"
        parts.append(f"\n## {title.rstrip('.')}\n")
        if owner is facts.OneWell:
            parts.append("\nIn `{% for well in wells %}`.\n")
        if owner is facts.Told:
            parts.append("\nIn `{% for one in told %}`, or `{% for one in well.told %}`.\n")
        parts.append("\n| field | what it is | kind |\n|---|---|---|\n")
        for field, hint in typing.get_type_hints(owner, include_extras=True).items():
            kind, meaning = typing.get_args(hint)
            whole = f"{name}.{field}" if name else field
            parts.append(f"| `{whole}` | {meaning} | {_KINDS.get(kind, 'has fields')} |\n")
        for field, value in vars(owner).items():
            if isinstance(value, property):
                kind = typing.get_type_hints(value.fget)["return"]
                meaning = (value.__doc__ or "").rstrip(".")
                parts.append(
                    f"| `{field}` | {meaning[0].lower()}{meaning[1:]} | {_KINDS.get(kind, 'has fields')} |\n"
                )
    parts.append(
        "\n## Filters\n\n`{{ day|day }}`. There are:\n\n| filter | what it gives |\n|---|---|\n"
    )
    parts += [f"| `{name}` | {one.means} |\n" for name, one in FILTERS.items()]
    for kind in TemplateKind:
        parts.append(f"\n## The {kind} that comes along\n\n```\n{default_template(kind)}```\n")
        said = render(default_template(kind), facts.SAMPLES[0], kind)
        parts.append(f"\nOn made-up facts:\n\n```\nSubject: {said.subject}\n\n{said.text}```\n")
    kept_page("letters.md", "".join(parts))


_KINDS: dict[Any, str] = {
    str: "text",
    bool: "yes or no",
    date: "a day",
    date | None: "a day, or not known",
    tuple[str, ...]: "several texts",
}
