"""What a run of reminders costs as it grows: `wellbook remind --send` to 100 and to 1,000 customers.

Every second customer is written to by letter, every fourth by postcard, every fourth by e-mail through
a mail server on this machine. Peak memory has to stay flat; time should grow as the number of messages
does, ten times. Not on Windows, which says neither.

    python benchmarks/reminders.py [FEW MANY]
"""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.handlers import Sink

from wellbook.dates import When
from wellbook.store import wells
from wellbook.store.book import Book, make_book
from wellbook.store.consents import say
from wellbook.store.renewal import renew_all
from wellbook.store.sheets import record
from wellbook.store.shop import say_of_shop
from wellbook.terms import Answer, ContactWay

TODAY = date(2026, 11, 25)
WAYS = ("letter", "postcard", "letter", "email")
SHOP = {
    "name": "Marlow Bend Pumps",
    "address": "2 Foundry Ln, Nettlewick, ST 00000",
    "phone": "555-0100",
    "email": "desk@marlow.example",
    "mail_server": "127.0.0.1",
    "mail_security": "none",
}


def fill(book: Book, customers: int, port: int) -> None:
    """A shop whose customers all had their last check-up a year ago and more."""
    with book.writing() as connection:
        renew_all(connection)
        for name, value in {**SHOP, "mail_port": str(port)}.items():
            say_of_shop(connection, "me", name, value)
        for n in range(customers):
            place = {"road": f"{n} Larkspur Bend", "town": f"Town {n % 20}", "postcode": "00000"}
            site = wells.add_site(connection, "me", place)
            number = wells.add_customer(
                connection, "me", f"Ada Number {n}", emails=(f"c{n}@x.example",)
            )
            wells.edit_customer(connection, "me", number, values={"remind_by": WAYS[n % 4]})
            day = date(2026, 1, 2)
            yes: dict[str, Any] = {"on_day": day, "how": "ticked it", "today": TODAY}
            say(connection, "me", number, ContactWay.EMAIL, Answer.YES, **yes)
            wells.move_in(connection, "me", site, number, When.unknown(), today=TODAY)
            place_of_well = {"site_id": site}
            well = wells.add_well(connection, "me", f"W-{n}", place_of_well, today=date(2020, 1, 1))
            sheet: dict[str, Any] = {"date": "2025-09-09", "reason": "check up"}
            record(connection, "me", well, sheet, today=TODAY)


def send(place: Path, folder: Path) -> tuple[float, float]:
    """One run as a process of its own: processor time in seconds, peak memory in MiB."""
    environment = {**os.environ, "WELLBOOK_BOOK": str(place), "WELLBOOK_TODAY": str(TODAY)}
    command = [sys.executable, "-m", "wellbook", "remind", "--send", "--to", str(folder)]
    process = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"the run failed with status {process.returncode}")
    scale = 1024 if sys.platform == "darwin" else 1  # bytes there, KiB elsewhere
    return used.ru_utime + used.ru_stime, used.ru_maxrss / scale / 1024


def main() -> None:
    """Both sizes, and the ratio of the second to the first."""
    sizes = [int(x) for x in sys.argv[1:3]] or [100, 1000]
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = Controller(Sink(), hostname="127.0.0.1", port=port)
    server.start()
    measured = []
    try:
        for customers in sizes:
            with tempfile.TemporaryDirectory() as folder:
                place = Path(folder) / "shop.book"
                book = make_book(place)
                fill(book, customers, port)
                book.close()
                seconds, peak_mib = send(place, Path(folder))
            measured.append((seconds, peak_mib))
            print(f"{customers:>6} customers   {seconds:6.1f} s   peak {peak_mib:5.0f} MiB")
    finally:
        server.stop()
    (few_s, few_mib), (many_s, many_mib) = measured[0], measured[-1]
    print(f"ratio              {many_s / few_s:6.1f}          {many_mib / few_mib:8.2f}")


if __name__ == "__main__":
    main()
