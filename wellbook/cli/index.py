"""Which commands there are, where each lives, and its line in the help."""

from __future__ import annotations

from typing import NamedTuple


class Command(NamedTuple):
    """A command's module, its group in the help, and one line on it."""

    module: str
    group: str
    help: str


ANSWER = "The phone rings"
RECORD = "After the job"
DOWN = "Before it goes down"
AHEAD = "Before the next failure"
PAPER = "On paper"
KEEP = "Customers, properties, wells"
BOOK = "The book itself"
GROUPS = (ANSWER, DOWN, RECORD, AHEAD, PAPER, KEEP, BOOK)

COMMANDS: dict[str, Command] = {
    "find": Command("find", ANSWER, "Find a well by any part of name, number, road, town or tag."),
    "hole": Command("hole", ANSWER, "What's down that hole, what is wrong, what to load."),
    "history": Command("hole", ANSWER, "Every visit, call and part ever set or pulled."),
    "near": Command("near", ANSWER, "What the wells around say of a hole nobody knows."),
    "call": Command("call", ANSWER, "Write down who rang, the symptom and what was promised."),
    "plan": Command("plan", DOWN, "Judge a string before it goes down, and list what to load."),
    "check": Command("plan", DOWN, "Judge what hangs there now: each number and its limit."),
    "calc": Command("calc", DOWN, "The desk calculators, one case or a whole file of them."),
    "draw": Command("draw", DOWN, "The hole to scale with its limits, on screen or for paper."),
    "pump": Command("pump", DOWN, "The shop's list of pump models with their curves."),
    "visit": Command("visit", RECORD, "Record a visit sheet: from a file, an editor or questions."),
    "correct": Command("visit", RECORD, "Put a corrected sheet in place of one on record."),
    "withdraw": Command("visit", RECORD, "Take a sheet out of the count; it stays readable."),
    "sample": Command(
        "sample", RECORD, "Water samples: results, figures, what they owe, the years."
    ),
    "papers": Command("papers", RECORD, "The papers that jobs owe, and which were sent."),
    "attach": Command(
        "attach", RECORD, "Keep photographs, laboratory reports, the driller's log with a well."
    ),
    "files": Command("files", RECORD, "The files of wells: list, copy out, take off, check."),
    "due": Command("due", AHEAD, "What is due, worst first, with customer and phone."),
    "remind": Command("remind", AHEAD, "What should go out now, to whom and how; --send makes it."),
    "contact": Command("contact", AHEAD, "What a customer was told: booked, declined, put off."),
    "calendar": Command("calendar", AHEAD, "Bookings and open reminders as a calendar file."),
    "checkups": Command("checkups", AHEAD, "Whom to visit in a month, in an order to drive."),
    "rules": Command(
        "rules", AHEAD, "The rules, their numbers and sources; change or silence them."
    ),
    "print": Command(
        "print_", PAPER, "Well pages, visit sheets, the check-up list, papers of a job, tags."
    ),
    "customer": Command("customer", KEEP, "Customers: add, show, edit, list, forget."),
    "site": Command("site", KEEP, "Properties: add, show, edit, list; who moved in."),
    "well": Command("well", KEEP, "Wells: add, show, edit, list; which share a tank."),
    "doubles": Command("doubles", KEEP, "Likely doubles: listed, joined or told apart for good."),
    "shop": Command("shop", BOOK, "What the shop says of itself, and its letters."),
    "import": Command(
        "imports", BOOK, "Bring records in from files: look, decide, write, take back."
    ),
    "export": Command(
        "export", BOOK, "The book for others: tables, XLSX, map, contacts, one well."
    ),
    "merge": Command("merge", BOOK, "Bring home what another copy of this book has."),
    "backup": Command(
        "backup", BOOK, "A copy of the book, read back before it counts; which there are."
    ),
    "restore": Command("restore", BOOK, "Put a backup in the place of the book, which is kept."),
    "doctor": Command("doctor", BOOK, "Look the whole book through; mend what can be mended."),
    "copy": Command("copy", BOOK, "Copy a whole book between a file and a server, or alike."),
    "log": Command("log", BOOK, "What was changed in the book: when, by whom, from what to what."),
    "undo": Command("undo", BOOK, "Take back what was done last, where nothing depends on it."),
    "init": Command("begin", BOOK, "Make a new, empty book."),
    "demo": Command("begin", BOOK, "Open the book of an invented shop, to look round in."),
    "upgrade": Command("begin", BOOK, "Bring an older book up to this program."),
}
