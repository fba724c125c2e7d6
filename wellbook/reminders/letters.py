"""A message to a customer, made from a template that the shop may change.

A template's first line is `Subject: ...`, then comes the body; blank lines part its paragraphs, and
a line break is a line break. What a way of sending must say is asked of every message, not only
when a template is tried: an e-mail without the shop's postal address and a way out never comes into
being (15 U.S.C. 7704(a)(5) asks for both in commercial e-mail, and 7704(a)(1) for true headers).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from importlib import resources
from textwrap import wrap

from wellbook.errors import WellbookError
from wellbook.plain_text import clean, on_one_line
from wellbook.reminders.letter_facts import SAMPLES, Facts, cleaned
from wellbook.reminders.template_language import rendered
from wellbook.terms import Word

CARD_LINES = 18
"""On the written side of a 4 x 6 in card with margins of 0.3 in, at 11 point."""
CARD_SIGNS = 62
"""A line of it, in signs of an ordinary typeface."""


class TemplateKind(Word):
    """By which way a message goes out."""

    LETTER = "letter"
    POSTCARD = "postcard"
    EMAIL = "email"
    CALL = "call"


@dataclass(frozen=True, slots=True)
class Message:
    """What is said, ready for any way of sending.

    Parameters
    ----------
    subject
        One line.
    paragraphs
        In order; a line break within one is meant.
    """

    subject: str
    paragraphs: tuple[str, ...]

    @property
    def text(self) -> str:
        """The paragraphs as plain text, an empty line between them."""
        return "\n\n".join(self.paragraphs) + "\n"


def default_template(kind: TemplateKind) -> str:
    """The template of that kind that comes with the program."""
    page = resources.files("wellbook.reminders") / "templates" / f"{kind}.txt"
    return page.read_text("utf-8")


def render(template_text: str, facts: Facts, kind: TemplateKind) -> Message:
    """One message, from a template and what it speaks of.

    Parameters
    ----------
    template_text
        The template, the shop's own or `default_template(kind)`.
    facts
        One property, one customer, everything that is due there.
    kind
        By which way it goes out: that says what has to stand in it.

    Raises
    ------
    WellbookError
        Where the template is wrong (with its line), or the message lacks what it must say.
    """
    where = f"the {kind} template"
    facts = cleaned(facts)
    head, _, body = rendered(template_text, facts, where).partition("\n")
    if not head.startswith("Subject:") or not head.removeprefix("Subject:").strip():
        raise WellbookError("the first line is 'Subject: ...'", where=f"{where}: line 1")
    # A line of nothing but blanks is as empty as one without.
    lines = "\n".join(clean(line).strip() for line in body.split("\n"))
    paragraphs = tuple(x for x in re.split(r"\n\n+", lines.strip("\n")) if x)
    message = Message(on_one_line(head.removeprefix("Subject:")), paragraphs)
    for missing in _missing(message, facts, kind):
        raise WellbookError(missing, where=where)
    return message


def check_template(text: str, kind: TemplateKind) -> None:
    """Try a template on made-up facts, rich and poor ones.

    Parameters
    ----------
    text
        The template.
    kind
        By which way its messages go out.

    Raises
    ------
    WellbookError
        For the first thing that is wrong, with its line where it has one.
    """
    for facts in SAMPLES:
        render(text, facts, kind)


def _missing(message: Message, facts: Facts, kind: TemplateKind) -> list[str]:
    """What a message of that kind lacks, or has too much of."""
    shop, text = facts.shop, message.text
    said = []
    if not message.paragraphs:
        said.append("there is nothing below the subject")
    if kind is TemplateKind.CALL:
        return said
    flat = " ".join(text.split())
    if not shop.phone or shop.phone not in flat:
        said.append("the shop's phone number is missing: {{ shop.phone }}")
    # On paper the shop's name and address stand at the head, and its name under the line to sign on.
    if kind is TemplateKind.EMAIL:
        if not shop.name or shop.name not in flat:
            said.append("the shop's name is missing: {{ shop.name }}")
        if not shop.address_lines or any(line not in flat for line in shop.address_lines):
            said.append(
                "an e-mail gives the shop's whole postal address:"
                " {% for line in shop.address_lines %}{{ line }} {% endfor %}"
            )
        if not re.search(r"\bSTOP\b", flat):
            said.append("an e-mail says how to get no more of them: {{ way_out }}")
    if kind is TemplateKind.POSTCARD and _card_lines(message) > CARD_LINES:
        said.append(
            f"it takes {_card_lines(message)} lines, and a 4 x 6 card holds {CARD_LINES}:"
            " say less, or cut a text with short(60)"
        )
    return said


def _card_lines(message: Message) -> int:
    rows = (wrap(line, CARD_SIGNS) or [""] for line in message.text.rstrip("\n").split("\n"))
    return sum(map(len, rows))
