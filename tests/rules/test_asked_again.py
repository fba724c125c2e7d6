"""What rules ask of a hole again is worked out once, and never of another hole."""

from rule_holes import hole

from wellbook.rules.asked_again import once_a_hole


def test_the_same_hole_is_looked_at_once_and_another_anew() -> None:
    looked: list[str] = []

    @once_a_hole
    def tag_of(hole):
        looked.append(hole.tag)
        return None if hole.tag == "B" else hole.tag

    one, other, like = hole(tag="A"), hole(tag="B"), hole(tag="A")
    assert [tag_of(h) for h in (one, one, other, other, like, one)] == ["A", "A", None, None, *"AA"]
    # One that is equal is another all the same: to compare two holes costs more than to look.
    assert looked == ["A", "B", "A", "A"]
