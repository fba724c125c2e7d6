"""The page of faults is made of the table, and each row names tests that there are and that use its line."""

from __future__ import annotations

import ast
import os
from pathlib import Path

import pytest

from tests.faults.fault_table import FAULTS, RUN, TRIED_ON, Fault

TESTS = Path(__file__).parents[1]
PAGE = TESTS.parent / "docs" / "faults.md"


def _page() -> str:
    parts = [
        "# Faults, and what holds afterwards\n\n"
        "Each was brought about by the tests that stand below it, and each line is what the program"
        " says (BOOK stands for the book's place, FOLDER for its folder, N for the number of a version,"
        " KEPT for where the book is that was there before a restore)."
        f" All held on {TRIED_ON}, by:\n\n"
        f"```\n{RUN}\n```\n\n"
        "| fault | how it is brought about | what holds afterwards | what you read |\n"
        "|---|---|---|---|\n"
    ]
    parts += [
        f"| {f.what} | {f.how} | {f.holds} | {f'`{f.line}`' if f.line else 'nothing'} |\n"
        for f in FAULTS.values()
    ]
    parts.append("\n## The tests\n\n| fault | test |\n|---|---|\n")
    parts += [f"| {f.what} | `tests/{test}` |\n" for f in FAULTS.values() for test in f.tests]
    return "".join(parts)


def test_the_page_of_faults_is_true() -> None:
    if os.environ.get("WELLBOOK_RENEW"):
        PAGE.write_text(_page(), "utf-8")
    assert PAGE.read_text("utf-8") == _page(), "run: WELLBOOK_RENEW=1 pytest tests/faults"


@pytest.mark.parametrize("name", FAULTS)
def test_each_fault_has_its_tests_and_its_line_is_compared(name: str) -> None:
    fault: Fault = FAULTS[name]
    assert fault.tests
    texts = []
    for test in fault.tests:
        file, _, function = test.partition("::")
        text = (TESTS / file).read_text("utf-8")
        named = {n.name for n in ast.walk(ast.parse(text)) if isinstance(n, ast.FunctionDef)}
        assert function in named, test
        texts.append(text)
    if fault.line:
        assert any(f'"{name}"' in text for text in texts), f"no test holds the line of: {name}"
