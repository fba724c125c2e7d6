"""The table of faults: what was done to the program and its books, what holds afterwards, what a user reads.

The page docs/faults.md is made of it. The tests hold the lines against what the program says
(`the_line`), and each names the tests that inject it. BOOK stands for the place of the book, FOLDER for
its folder, N for a number of a version, KEPT for where a book is kept that was there before a restore.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

TRIED_ON = "2026-11-29"
RUN = "python -m pytest -n 2 tests/faults tests/reminders/test_sending.py tests/exchange/test_export_files.py"


@dataclass(frozen=True)
class Fault:
    """One fault.

    Parameters
    ----------
    what
        The fault, as a user would tell of it.
    how
        How a test brings it about.
    holds
        What must hold afterwards.
    line
        What the user reads; empty where nothing is said, since nothing is amiss.
    tests
        The tests, as `file::name` below `tests`.
    """

    what: str
    how: str
    holds: str
    line: str
    tests: tuple[str, ...]


_FULL = (
    "BOOK: the disk is full, and nothing was written; make room (a book needs a little beside it even"
    " to be read), then try again"
)
_DAMAGED = (
    "BOOK: the book is damaged, and nothing was written; keep this file, and go on with the newest backup"
    " (wellbook doctor names it)"
)
_GONE = (
    "BOOK: the book is no longer here: it was moved, renamed or deleted, and nothing was written; put it"
    " back, and its -wal file beside it if there is one, then try again"
)
_STEPS = (
    "a forked process is killed (SIGKILL) before its n-th statement, commit or file operation; when a"
    " file grows past its n-th byte, in the middle of what the engine writes (SIGXFSZ); after some time"
)

FAULTS: dict[str, Fault] = {
    "kill visit": Fault(
        "Killed while a visit is recorded",
        _STEPS,
        "the book is whole, each visit is there whole or not at all, a confirmed one is there",
        "",
        ("faults/test_killed.py::test_a_visit_is_there_whole_or_not_at_all",),
    ),
    "kill import": Fault(
        "Killed while records come in",
        _STEPS,
        "the run is there whole, with its undo, or not at all; it can be repeated",
        "",
        ("faults/test_killed.py::test_an_import_is_there_whole_with_its_undo_or_not_at_all",),
    ),
    "kill upgrade": Fault(
        "Killed while a book of an older version is upgraded",
        f"{_STEPS}; from each older revision",
        "the book is at the old revision or at the new one, whole; the next command ends the upgrade; the"
        " safety copy is whole or not there",
        "",
        ("faults/test_killed.py::test_an_upgrade_is_there_whole_or_not_at_all",),
    ),
    "kill remind": Fault(
        "Killed while reminders go out",
        _STEPS,
        "each message went once, or is shown as in doubt and is never sent again by itself",
        "",
        (
            "faults/test_killed.py::test_a_reminder_goes_once_or_is_in_doubt",
            "reminders/test_sending.py::test_killed_at_any_step_an_email_went_once_or_is_in_doubt",
            "reminders/test_sending.py::test_killed_at_any_step_letters_are_in_one_file_or_in_doubt",
        ),
    ),
    "kill attach": Fault(
        "Killed while a file is attached",
        _STEPS,
        "a file that a well names is whole; it can be attached again",
        "",
        ("faults/test_killed.py::test_a_file_that_is_named_is_whole",),
    ),
    "kill draft": Fault(
        "Killed while a sheet is typed",
        _STEPS,
        "what was typed and kept is there, whole",
        "",
        ("faults/test_killed.py::test_a_sheet_that_is_being_typed_stays",),
    ),
    "kill backup": Fault(
        "Killed while a backup is made, by hand or the day's own",
        _STEPS,
        "whatever has the name of a backup is whole, with every file of it, and comes back; the last one"
        " before it stays; what is left of the run is hidden, no backup, and taken away by doctor --mend or"
        " the next day's backup",
        "",
        ("faults/test_killed_keeping.py::test_what_counts_as_a_backup_is_whole",),
    ),
    "kill restore": Fault(
        "Killed while a backup is put in the place of the book",
        f"{_STEPS}; also where a file cannot have two names",
        "the old book or the new one is there, whole, with its files; the old one stays. Where a file cannot"
        " have two names, there can be none for a moment: the line says where it is",
        "BOOK: there is no book here; the one that was here before a restore is KEPT; put it back: wellbook"
        " restore KEPT",
        (
            "faults/test_killed_keeping.py::test_the_old_book_or_the_new_one_is_there_and_the_old_one_stays",
        ),
    ),
    "kill mend": Fault(
        "Killed while the doctor mends",
        f"{_STEPS}; on a book that has lost rows which follow from others",
        "nothing that anybody wrote is touched; there was a whole backup before the first change; the next"
        " run mends the rest",
        "",
        ("faults/test_killed_keeping.py::test_mending_loses_nothing_and_can_go_on",),
    ),
    "kill undo": Fault(
        "Killed while the latest entry is taken back, or done again",
        _STEPS,
        "it is taken back whole or not at all",
        "",
        ("faults/test_killed_keeping.py::test_it_is_taken_back_whole_or_not_at_all",),
    ),
    "kill forget": Fault(
        "Killed while a customer is forgotten",
        _STEPS,
        "he is forgotten whole or not at all; then his name is in no page of the book, and the backups that"
        " hold it still are listed",
        "",
        ("faults/test_killed_keeping.py::test_a_person_is_forgotten_whole_or_not_at_all",),
    ),
    "kill export": Fault(
        "Killed while a file is written for others",
        "a process is killed when all is written and the file has not yet its name",
        "there is no file of that name; the next run makes it",
        "",
        ("exchange/test_export_files.py::test_a_run_that_is_broken_off_leaves_no_file",),
    ),
    "torn log": Fault(
        "The power goes: the log of writes ends anywhere",
        "the log of three visits is cut at bytes of every kind; a real power cut was not tried",
        "the book is whole and holds the first visits in their order, none by half",
        "",
        ("faults/test_files.py::test_a_log_that_ends_anywhere_holds_whole_visits",),
    ),
    "disk full": Fault(
        "The disk is full, when a visit, an import or an upgrade is written",
        "a real file system of a few hundred KB where the machine lets one be made without root; a limit on"
        " the pages of the database (max_page_count) everywhere",
        "nothing of it is in the book, which is whole",
        _FULL,
        (
            "faults/test_files.py::test_on_a_full_disk_nothing_is_written_and_that_is_said",
            "faults/test_files.py::test_where_a_book_may_not_grow_nothing_is_written",
        ),
    ),
    "disk full draft": Fault(
        "The disk is full while a sheet is typed",
        "a write fails in the middle",
        "what was typed before stays",
        "FOLDER/shop-visit-A-1.toml: the sheet cannot be kept here: no space left on device",
        ("faults/test_files.py::test_a_full_disk_leaves_the_sheet_that_was_kept",),
    ),
    "disk full export": Fault(
        "The disk is full while a file is written for others",
        "a limit on the length of files",
        "no file is left, the book is as it was",
        "",
        ("exchange/test_export_files.py::test_a_full_disk_is_one_line_and_leaves_nothing",),
    ),
    "read-only folder": Fault(
        "The folder of the book is read-only",
        "a process of another user in a folder that he may not write",
        "nothing is changed",
        "BOOK: the folder FOLDER is read-only, and a book writes beside itself even to be read; take it to a"
        " folder of yours, and name that place with --book",
        ("faults/test_files.py::test_what_may_not_be_written_or_read_is_said",),
    ),
    "read-only file": Fault(
        "The book's file is read-only",
        "a process of another user, in a folder that he may write",
        "it can be read; nothing is changed",
        "BOOK: the book's file is read-only; let it be written to, or go on with a copy of it",
        ("faults/test_files.py::test_what_may_not_be_written_or_read_is_said",),
    ),
    "unreadable file": Fault(
        "The book's file may not be read",
        "a process of another user, in a folder that he may write",
        "nothing is changed",
        "BOOK: you may not read this file; have its owner let you, or go on with a copy",
        ("faults/test_files.py::test_what_may_not_be_written_or_read_is_said",),
    ),
    "taken away": Fault(
        "The file is moved, renamed or deleted under a running program",
        "between opening and writing, and between the first statement and the commit",
        "nothing is written into a file that nobody finds again; no empty one is made in its place",
        _GONE,
        ("faults/test_files.py::test_a_file_that_is_taken_away_is_written_to_no_more",),
    ),
    "replaced": Fault(
        "Another file is put in the book's place under a running program",
        "between the first statement and the commit",
        "neither of the two holds anything of it",
        "BOOK: another file was put in the book's place while this was being written, and nothing was"
        " written; look at what is there now, then try again",
        ("faults/test_files.py::test_a_file_that_is_replaced_is_written_to_no_more",),
    ),
    "no database": Fault(
        "The file is not a database",
        "a letter, and bytes without order",
        "the file is as it was",
        "BOOK: this file is not a book, or its beginning is damaged; name another with --book, or go on with"
        " the newest backup (wellbook doctor names it)",
        ("faults/test_damaged.py::test_what_is_no_book_is_said_and_left_alone",),
    ),
    "empty": Fault(
        "The file is empty",
        "a file of no bytes",
        "the file is as it was",
        "BOOK: this file is empty: a new book is made here by wellbook init; one that was here is to be had"
        " from its newest backup only",
        ("faults/test_damaged.py::test_what_is_no_book_is_said_and_left_alone",),
    ),
    "truncated": Fault(
        "The file is cut short",
        "at many lengths",
        "every command says so, and none writes",
        _DAMAGED,
        ("faults/test_damaged.py::test_a_book_that_is_cut_short_is_never_written_to",),
    ),
    "damaged": Fault(
        "Pages of the file are overwritten",
        "bytes without order, zeros or another page over pages of every kind; letters of texts changed",
        "each command ends in an answer or in one line, and what a command reads of a page is checked as it is"
        " read; what lies on pages that it does not read is found by doctor and by the daily backup. A"
        " letter that was changed within a text and is in no index is found by nobody",
        _DAMAGED,
        ("faults/test_damaged.py::test_on_damaged_pages_each_command_answers_or_says_so",),
    ),
    "clock": Fault(
        "The clock is set back",
        "visits are recorded on a day that lies before the last ones",
        "nothing is lost; with the clock right again, all is as if it had always been so",
        "",
        ("faults/test_clock.py::test_a_clock_that_was_set_back_costs_nothing",),
    ),
    "newer book": Fault(
        "A book of a newer program",
        "a revision that this program does not know",
        "it is neither read nor written",
        "BOOK: this book is newer (N) than this program (N); install the newer wellbook, then try again",
        ("faults/test_programs.py::test_a_newer_book_is_refused",),
    ),
    "upgraded meanwhile": Fault(
        "A newer program upgrades the book while an older one has it open and goes on to write",
        "a book is opened, upgraded by a program with one more migration, then written to by the first",
        "nothing is written into tables that the older program does not know",
        "BOOK: another program has brought this book from N to N since it was opened, and nothing was"
        " written; start again, with the newer wellbook",
        ("faults/test_programs.py::test_an_older_program_writes_nothing_into_an_upgraded_book",),
    ),
    "newer rules": Fault(
        "Two programs with the same tables and different rules in turn",
        "a book that was worked out by newer rules, replay or words is opened by this program",
        "the older one shows it as it stands and writes nothing; the ledger is not made anew in turn",
        "BOOK: a newer wellbook has worked this book out (rules N; this program has N): it can be read as it"
        " stands; to write, install the newer one; nothing was written",
        ("faults/test_programs.py::test_a_ledger_of_newer_rules_is_shown_and_left_alone",),
    ),
    "network share": Fault(
        "The book is on a network share",
        "lists of mounts as Linux gives them",
        "it is said where a book gets its place or is looked over (init, restore, upgrade, doctor)",
        "BOOK is on a network share (nfs4), where two machines can damage a book: keep it on this machine's"
        " own disk, or share one on a PostgreSQL server; keep copies here by: wellbook backup",
        ("faults/test_harmful_places.py::test_a_network_share_is_warned_of",),
    ),
    "synced folder": Fault(
        "The book is in a folder that a service copies elsewhere",
        "folders of the usual names, and with the marks that such services leave",
        "it is said where a book gets its place or is looked over (init, restore, upgrade, doctor)",
        "BOOK is in a folder that a service copies (FOLDER); it may take half of a change, or put an old file"
        " over a new one: keep the book outside, and only its copies here by: wellbook backup",
        ("faults/test_harmful_places.py::test_a_folder_that_a_service_copies_is_warned_of",),
    ),
    "server lost": Fault(
        "The server goes away in the middle of a change",
        "its process for this connection is ended (pg_terminate_backend)",
        "nothing of the change is there",
        "BOOK: the connection to the server was lost; nothing of this was written; try again",
        ("faults/test_server_faults.py::test_a_server_that_goes_away_in_the_middle",),
    ),
    "server lost at commit": Fault(
        "The server goes away as a change is being kept",
        "its process for this connection is ended before the commit",
        "the change is there whole or not at all",
        "BOOK: the connection to the server was lost as this was being kept; look whether it is in the book"
        " before you enter it again",
        ("faults/test_server_faults.py::test_a_server_that_goes_away_as_it_keeps",),
    ),
    "server lost in an upgrade": Fault(
        "The server goes away in the middle of an upgrade",
        "its process for this connection is ended by the last statement of a migration",
        "the tables are the old ones, with all that is in them",
        "",
        (
            "faults/test_programs.py::test_a_server_that_goes_away_in_an_upgrade_leaves_the_old_tables",
        ),
    ),
    "no server": Fault(
        "No server answers",
        "a port at which nobody listens",
        "the password is not shown",
        "BOOK: no server answers there; see to host and port in the URL, and whether it runs",
        (
            "faults/test_server_faults.py::test_what_is_wrong_at_the_door_is_said_without_the_password",
        ),
    ),
    "no host": Fault(
        "There is no host of that name",
        "a name that is never given (RFC 6761)",
        "the password is not shown",
        "BOOK: there is no host of that name; see to the URL, and to the network",
        (
            "faults/test_server_faults.py::test_what_is_wrong_at_the_door_is_said_without_the_password",
        ),
    ),
    "no such database": Fault(
        "There is no such database or user",
        "a database, and a user, that the server does not have",
        "the password is not shown",
        "BOOK: the server knows no such database or user; see to the URL, or have it made there",
        (
            "faults/test_server_faults.py::test_what_is_wrong_at_the_door_is_said_without_the_password",
        ),
    ),
    "wrong password": Fault(
        "The password is wrong",
        "what the server's driver raises at a wrong password",
        "the password is not shown",
        "BOOK: the server refuses this user or password; see to the URL",
        ("faults/test_server_faults.py::test_a_wrong_password_is_said",),
    ),
    "no tls": Fault(
        "The server does not encrypt the line",
        "a server without TLS, and an address that wants it (sslmode=verify-full)",
        "no name, no password and nothing of the book is sent",
        "BOOK: the server speaks only in the clear, so nothing was sent to it; have TLS switched on"
        " there (ssl = on)",
        ("faults/test_server_tls.py::test_a_server_without_tls_is_told_nothing",),
    ),
    "no authority": Fault(
        "There is no certificate to know the server by",
        "a file for sslrootcert that is not there",
        "no name, no password and nothing of the book is sent",
        "BOOK: there is nothing to know the server by, so nothing was sent to it; let sslrootcert name"
        " the file with its authority's certificate",
        ("faults/test_server_tls.py::test_a_server_that_cannot_be_known_is_told_nothing",),
    ),
    "other authority": Fault(
        "Another server answers, or its certificate is of another authority",
        "a certificate of another authority",
        "no name, no password and nothing of the book is sent",
        "BOOK: the server cannot show that it is yours, so nothing was sent to it; see to the authority's"
        " certificate that sslrootcert names, and to the server's own",
        ("faults/test_server_tls.py::test_a_server_that_cannot_be_known_is_told_nothing",),
    ),
    "other host": Fault(
        "The server's certificate is for another name",
        "a server that is asked for by its number",
        "no name, no password and nothing of the book is sent",
        "BOOK: the server's certificate is for another name, so nothing was sent to it; use the host"
        " name that stands in the certificate",
        ("faults/test_server_tls.py::test_a_server_that_cannot_be_known_is_told_nothing",),
    ),
    "too many connections": Fault(
        "The server takes no more connections",
        "a user who may have none",
        "nothing is written",
        "BOOK: the server takes no more connections; close programs that use it, or let it take more"
        " (max_connections)",
        ("faults/test_server_faults.py::test_a_server_that_is_full_is_said",),
    ),
    "standby": Fault(
        "The server is for reading only",
        "a database whose transactions are read-only",
        "it can be read; nothing is written",
        "BOOK: this server is for reading only (a copy of another one?); name the one that is written to",
        ("faults/test_server_faults.py::test_a_server_for_reading_only_is_said",),
    ),
    "not granted": Fault(
        "The user has no rights to the book's tables",
        "a user who was granted nothing",
        "nothing is read or written",
        "BOOK: the server does not let this user do that; have him granted it (permission denied for table"
        " alembic_version)",
        ("faults/test_server_faults.py::test_a_user_without_rights_is_told_so",),
    ),
}


def the_line(name: str) -> str:
    """What a user reads at a fault."""
    return FAULTS[name].line


def as_shown(said: str, book: str | Path) -> str:
    """A line as the table has it, from what the program said on standard error or in an error."""
    place, folder = str(book), str(Path(book).parent)
    line = re.sub(r"^wellbook: ", "", said.strip())
    line = re.sub(re.escape(place) + r"\.replaced-[-\d]+", "KEPT", line)
    line = line.replace(place, "BOOK").replace(folder, "FOLDER")
    # Revisions and versions go up with the program.
    return re.sub(r"(?<![\w.])\d+(?![\w.])", "N", line)
