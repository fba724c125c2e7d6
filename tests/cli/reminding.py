"""A shop on the demo book that has said what its messages need; and its commands."""

from __future__ import annotations

from pathlib import Path

from commands import Commands

SHOP = {
    "name": "Tarn Fork Pumps",
    "address": "18 Foundry Lane, Nettlewick, ST 00000",
    "phone": "555-0100",
    "email": "desk@tarnfork.example",
    "mail_server": "127.0.0.1",
    "mail_security": "none",
    "time_zone": "America/Chicago",
}


class Reminding(Commands):
    """Commands of a shop that reminds."""

    def settle_in(self, folder: Path, **more: str) -> Path:
        """Say what the shop's messages need; a folder for what is made."""
        for name, value in {**SHOP, **more}.items():
            self.fine("shop", "set", name, value)
        made = folder / "made"
        made.mkdir()
        return made
