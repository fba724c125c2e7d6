"""Headers of an e-mail, written as RFC 2047 asks, from text that nobody takes apart again.

The standard library reads a header's text before it writes it. A name that somebody typed as
`=?utf-8?q?x=0ABcc:_y?=` is decoded on the way, its line break and all, and is a header of its own
when it goes out; and long names in other letters get blanks between them. Here the text that was
given is the text that is written.
"""

from __future__ import annotations

from email import policy
from email.header import Header
from email.headerregistry import BaseHeader, HeaderRegistry, SingleAddressHeader, UnstructuredHeader
from email.message import EmailMessage
from email.policy import EmailPolicy, Policy
from email.utils import formataddr
from typing import Any

_MOST_PLAIN = 60
"""Signs of a text that stands on one line as it is; with its header's name it keeps within 78."""


class _Text(UnstructuredHeader, BaseHeader):
    max_count = 1

    @classmethod
    def parse(cls, string: str, kwds: dict[str, Any]) -> None:
        kwds["parse_tree"] = cls.value_parser("")
        kwds["decoded"] = string

    def fold(self, *, policy: Policy) -> str:
        text = _encoded(str(self), self.name) or str(self)
        return f"{self.name}: {text}{policy.linesep}"


# The library itself mixes the two in this way; its stubs do not know.
class _Mailbox(SingleAddressHeader, BaseHeader):  # type: ignore[misc]
    max_count = 1

    def fold(self, *, policy: Policy) -> str:
        name, spec = self.address.display_name, self.address.addr_spec
        encoded = _encoded(name, self.name)
        text = f"{encoded}\n <{spec}>" if encoded else formataddr((name, spec))
        return f"{self.name}: {text}\n".replace("\n", policy.linesep)


def _encoded(text: str, header: str) -> str:
    """In encoded words, a line each; empty where the text can stand as it is."""
    if text.isascii() and "=?" not in text and len(text) <= _MOST_PLAIN:
        return ""
    return Header(text, "utf-8", header_name=header).encode()


def mail_policy() -> EmailPolicy[EmailMessage]:
    """How an `EmailMessage` keeps and writes its headers; lines end with CRLF."""
    registry = HeaderRegistry()
    registry.map_to_type("subject", _Text)
    for name in ("from", "to"):
        registry.map_to_type(name, _Mailbox)
    return policy.SMTP.clone(header_factory=registry)
