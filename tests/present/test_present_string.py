"""What a string gives, in words and for programs: known, open at one end, or not known at all."""

import json

import pytest

from wellbook.present.string_json import duty_json
from wellbook.present.string_screen import flow_words
from wellbook.rules.duty import Duty

UNSAID = "without the friction of pipe of unknown size"


def duty(low_gpm, high_gpm, *, lifts=True, **more):
    return Duty("at the static level", 100.0, 50.0, low_gpm, high_gpm, lifts, **more)


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (duty(8.0, 8.0), "8 gpm against 50 psi"),
        (duty(3.0, 8.0), "3 to 8 gpm against 50 psi"),
        (duty(12.5, None), "12.5 gpm or more against 50 psi (its curve ends there)"),
        (
            duty(0.0, 5.0, lifts=None, begins_later=True),
            "less than 5 gpm against 50 psi (its curve begins there); whether any is not known",
        ),
        (duty(0.0, 0.0), "does not reach 50 psi, and runs on"),
        (duty(0.0, 0.0, lifts=False), "no water at all: it stalls"),
        (duty(8.0, 8.0, unsaid=UNSAID), f"8 gpm against 50 psi, {UNSAID}"),
    ],
)
def test_the_flow_in_words(made, words):
    assert flow_words(made) == words


def test_programs_are_told_what_is_open_and_what_is_left_out():
    open_end = duty_json(duty(12.5, None, unsaid=UNSAID))
    assert (open_end["high_gpm"], open_end["at_least"], open_end["unsaid"]) == (None, True, UNSAID)
    unknown = duty_json(duty(0.0, 5.0, lifts=None, begins_later=True))
    assert (unknown["lifts"], unknown["begins_later"]) == (None, True)
    json.dumps([open_end, unknown])


def test_what_nobody_wrote_down_and_what_is_only_estimated_is_said():
    taken = flow_words(duty(3.0, 8.0, cut_out_known=False))
    assert taken == "3 to 8 gpm against 50 psi (the usual: not on record)"
    guessed = flow_words(duty(12.5, None, estimated=True))
    assert guessed == "12.5 gpm or more against 50 psi (the estimate goes no further)"
