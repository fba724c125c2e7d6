"""A real mail server on this machine, for as long as a test runs; what it does wrong is told to it."""

# ruff: noqa: N802, ARG002 - the names and arguments are those that the library calls by.

from __future__ import annotations

import asyncio
import ssl
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session

PASSWORD = "deep-and-cold"
CLOSE, SILENT = "close", "silent"


class Box:
    """What came in; `answers` says what to do at a step for an address instead of accepting it.

    Steps are `mail` (for the sender), `rcpt`, `data` (before the text) and `text` (after it). An
    answer is a line of the protocol, or CLOSE, or SILENT.
    """

    def __init__(self, **answers: dict[str, str]) -> None:
        self.answers = answers
        self.texts: list[bytes] = []
        self.lines_opened = 0

    async def answer(self, server: SMTP, step: str, address: str, usual: str) -> str:
        given = self.answers.get(step, {}).get(address, usual)
        if given == CLOSE:
            server.transport.abort()
        elif given == SILENT:
            await asyncio.sleep(60)
        return given

    async def handle_MAIL(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        said = await self.answer(server, "mail", address, "250 OK")
        envelope.mail_from = address if said.startswith("2") else None
        return said

    async def handle_RCPT(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        said = await self.answer(server, "rcpt", address, "250 OK")
        if said.startswith("2"):
            envelope.rcpt_tos.append(address)
        return said

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        content = envelope.original_content
        assert content is not None
        self.texts.append(content)
        return await self.answer(server, "text", envelope.rcpt_tos[0], "250 kept")


class Server(SMTP):
    """One that can also fail between the word DATA and the text."""

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        super().connection_made(transport)
        self.event_handler.lines_opened += 1

    async def smtp_DATA(self, arg: str) -> None:
        to = self.envelope.rcpt_tos[0]
        box: Box = self.event_handler
        said = await box.answer(self, "data", to, "")
        if said.startswith("354"):
            # It asks for the text, reads some of it and is gone.
            await self.push(said)
            await self._reader.readline()
            self.transport.abort()
        elif not said:
            await super().smtp_DATA(arg)
        elif said not in (CLOSE, SILENT):
            await self.push(said)


def _login(server: SMTP, session: Session, envelope: Envelope, how: str, who: Any) -> AuthResult:
    fits = isinstance(who, LoginPassword) and who.password == PASSWORD.encode()
    return AuthResult(success=fits, handled=False)


@contextmanager
def serving(
    box: Box, *, context: ssl.SSLContext | None = None, tls_first: bool = False, **options: Any
) -> Iterator[int]:
    """The port on which it listens; `context` is the server's side of TLS."""
    loop = asyncio.new_event_loop()
    made: list[Server] = []

    def line() -> Server:
        if context is not None:
            options["authenticator"] = _login
        starttls = None if tls_first else context
        made.append(
            Server(
                box,
                hostname="mail.example",
                loop=loop,
                tls_context=starttls,
                auth_require_tls=not tls_first,
                **options,
            )
        )
        return made[-1]

    listening = loop.run_until_complete(
        loop.create_server(line, "127.0.0.1", 0, ssl=context if tls_first else None)
    )
    thread = threading.Thread(target=loop.run_forever)
    thread.start()
    try:
        yield listening.sockets[0].getsockname()[1]
    finally:

        async def end() -> None:
            listening.close()
            for one in made:
                if one.transport is not None:
                    one.transport.abort()
            rest = [task for task in asyncio.all_tasks() if task is not asyncio.current_task()]
            for task in rest:
                task.cancel()
            await asyncio.gather(*rest, return_exceptions=True)

        asyncio.run_coroutine_threadsafe(end(), loop).result(10)
        loop.call_soon_threadsafe(loop.stop)
        thread.join(10)
        loop.close()
