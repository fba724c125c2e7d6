"""`wellbook doubles`, and what is said of telephone numbers as they come in."""

from __future__ import annotations

import pytest

from tests.cli.commands import Commands


@pytest.fixture
def run(at_the_demo: None, capsys: pytest.CaptureFixture[str]) -> Commands:
    """Commands on a copy of the demo book with a customer and a well that are there twice."""
    commands = Commands(capsys)
    commands.fine("customer", "add", "Venterick, Orla M.", "--phone", "207-555-0147 x12")
    commands.fine(
        *("site", "add", "--road", "4 Larkspur Bnd", "--town", "Nettlewick"),
        *("--customer", "Venterick, Orla M."),
    )
    commands.fine("well", "add", "W-9", "--site", "4 Larkspur Bnd", "--permit", "99 0284")
    return commands


def test_pairs_stand_side_by_side_and_are_joined_and_taken_back(run: Commands) -> None:
    listed = run.fine("doubles")
    assert "one?     wellbook doubles join 33 93" in listed
    assert "one?     wellbook doubles join TF-0031 W-9" in listed
    said = run.fine("doubles", "join", "33", "93")
    assert "noted    known as Venterick, Orla M." in said
    assert "to take that back: wellbook doubles back 1" in said
    assert "207-555-0147 x12" in run.fine("customer", "show", "33")
    run.fine("doubles", "join", "TF-0031", "W-9")
    assert run.fine("hole", "W-9").startswith("TF-0031")
    shape = run.json("doubles", "decided")
    assert [d["names"] for d in shape["decisions"]] == [
        "TF-0031 <- W-9",
        "customer 33 Orla Venterick <- customer 93 Venterick, Orla M.",
    ]
    run.fine("doubles", "back", "2")
    run.fine("doubles", "back", "1")
    assert "doubles join 33 93" in run.fine("doubles")


def test_what_is_told_apart_is_not_listed_again(run: Commands) -> None:
    run.fine("doubles", "apart", "33", "93")
    shape = run.json("doubles", "--customers")
    assert shape["customers"] == []
    assert "wells" not in shape
    assert run.json("doubles", "--wells")["wells"][0]["one"]["name"] == "TF-0031"


@pytest.mark.parametrize(
    ("words", "says", "status"),
    [
        (("join", "TF-0031", "XX-1"), "no well has the tag 'XX-1'", 1),
        (("join", "33", "9999"), "no customer fits '9999'", 1),
        (("join", "33", "33"), "these are one record already", 2),
        (("join", "TF-0031", "tf-0031"), "these are one record already", 2),
        (("apart", "33", "a"), "name one by its number", 2),
        (("back", "7"), "wellbook doubles decided", 1),
    ],
)
def test_what_cannot_be_is_said_in_one_line(
    run: Commands, words: tuple[str, ...], says: str, status: int
) -> None:
    assert says in run.refused("doubles", *words, status=status)


def test_a_doubtful_number_is_said_once_as_it_comes_in(run: Commands) -> None:
    status, out, err = run("customer", "add", "Ada Brook", "--phone", "555-0147 / 0148")
    assert (status, out) == (0, "customer 94: Ada Brook\n")
    assert "is no number that can be rung; it is kept as it was written" in err
    assert "555-0147 / 0148" in run.fine("customer", "show", "94")
    run.fine("shop", "set", "area_code", "207")
    assert "(+1 207-555-0131)" in run.fine("customer", "show", "33")
    assert run.fine("find", "207-555-0131").count("TF-") == 1
    assert "no country's code" in run.refused("shop", "set", "country", "Utopia")
