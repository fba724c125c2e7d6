"""The command line. A command's module is imported when it is used: start-up counts."""

from __future__ import annotations

import importlib
import os
import shutil
import sys
from collections.abc import Sequence
from contextlib import suppress
from typing import Any

import typer
from typer._click import exceptions as click
from typer.core import TyperGroup

from wellbook.cli.index import COMMANDS, GROUPS
from wellbook.errors import BrokenOff, WellbookError


class LazyGroup(TyperGroup):
    """Knows its commands by name, and imports the one that is asked for."""

    def list_commands(self, ctx: Any) -> list[str]:
        """All names, in the order of the help."""
        return [name for group in GROUPS for name, c in COMMANDS.items() if c.group == group]

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """The command of that name, its module imported now."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"wellbook.cli.{COMMANDS[cmd_name].module}")
        group = typer.main.get_group(module.app)
        command = group.commands.get(cmd_name, group)
        command.name = cmd_name
        _name_values(command)
        return command

    def invoke(self, ctx: Any) -> Any:
        """Run the command; where it is stopped at the keyboard, say what came of it by then."""
        try:
            return super().invoke(ctx)
        except (typer.Abort, KeyboardInterrupt):
            if sys.stderr.isatty():
                # What the terminal shows of Ctrl-C stands there without an end.
                print(file=sys.stderr)
            raise BrokenOff(ctx.obj.stopped() if ctx.obj else "stopped") from None

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """The list of the help, from the index: nothing is imported for it."""
        for group in GROUPS:
            with formatter.section(group):
                formatter.write_dl(
                    [(name, c.help) for name, c in COMMANDS.items() if c.group == group]
                )


_WIDEST = 100
_VALUES = {"str": "TEXT", "int range": "NUMBER", "float": "NUMBER", "path": "FILE"}


def _name_values(command: Any) -> None:
    """What an option's value is, in the help: a word for people, not the program's type."""
    for parameter in command.params:
        if parameter.param_type_name == "option" and parameter.metavar is None:
            parameter.metavar = _VALUES.get(parameter.type.name)
    for below in getattr(command, "commands", {}).values():
        _name_values(below)


app = typer.Typer(
    cls=LazyGroup,
    name="wellbook",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    no_args_is_help=True,
    context_settings={"help_option_names": ["--help", "-h"], "max_content_width": _WIDEST},
)


@app.callback(invoke_without_command=False)
def wellbook(
    ctx: typer.Context,
    book: str = typer.Option(
        "",
        "--book",
        metavar="PATH|URL",
        envvar="WELLBOOK_BOOK",
        help="Which book: a file, or a server's postgresql+psycopg:// URL. May stand anywhere.",
    ),
    version: bool = typer.Option(False, "--version", help="Show the version and stop."),
) -> None:
    """The service book of a well-pump contractor: what is down each hole, and what is due.

    The phone rings: no water.  wellbook find WORDS, then  wellbook hole WELL.
    New here?  wellbook demo  opens an invented shop's book to look round in.
    """
    from wellbook.cli.session import Session

    ctx.obj = Session(book)
    ctx.call_on_close(ctx.obj.end)
    _ = version  # answered before anything else, in main


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the program: every mistake of a user ends in one line and a documented exit status."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    raise SystemExit(run(given))


def run(given: list[str]) -> int:
    """Run one command and give its exit status."""
    if "--version" in given[:1]:
        from wellbook import __version__

        print(f"wellbook {__version__}")
        return 0
    _speak_utf8()
    try:
        width = _help_width()
        status = app(
            _book_first(given), standalone_mode=False, prog_name="wellbook", terminal_width=width
        )
        sys.stdout.flush()
    except WellbookError as error:
        return _say(given, error)
    except click.NoArgsIsHelpError as error:
        print(error.ctx.get_help() if error.ctx else error.message)
        return 2
    except click.ClickException as error:
        return _say(given, WellbookError(_usage(error)))
    except KeyboardInterrupt:
        return _say(given, BrokenOff("stopped"))
    except UnicodeEncodeError as error:
        # Bytes that are no UTF-8 come in as halves of pairs, which no book can hold.
        held = (
            error.object[max(0, error.start - 20) : error.end].encode("utf-8", "replace").decode()
        )
        return _say(given, WellbookError(f"'{held}' is no text in UTF-8; nothing was written"))
    except BrokenPipeError:
        # The reader (a pager, head) has had enough.
        _drop_output()
        return 0
    except OSError as error:
        # A full disk, a folder that may not be read: whatever a command did not foresee.
        _drop_output()
        words = (error.strerror or str(error)).lower()
        return _say(given, WellbookError(words, where=str(error.filename or "")))
    return status if isinstance(status, int) else 0


def _help_width() -> int:
    """How wide the help is: as wide as the terminal, where the library's own is never under 50."""
    return max(min(shutil.get_terminal_size().columns, _WIDEST) - 2, 30)


def _drop_output() -> None:
    """What is still buffered goes nowhere, and is not tried again when the program ends."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _book_first(given: list[str]) -> list[str]:
    """Let --book stand anywhere on the line: a tired hand adds it last."""
    front: list[str] = []
    rest: list[str] = []
    words = iter(given)
    for word in words:
        if word == "--":
            rest += [word, *words]
        elif word == "--book":
            front += [word, *([following] if (following := next(words, None)) else [])]
        elif word.startswith("--book="):
            front.append(word)
        else:
            rest.append(word)
    return front + rest


def _usage(error: Any) -> str:
    message = error.format_message().rstrip(".")
    message = message.replace("not a valid int range", "no whole number")
    message = message.replace("not a valid float", "no number")
    ctx = getattr(error, "ctx", None)
    return f"{message} (see: {ctx.command_path} --help)" if ctx else message


def _say(given: list[str], error: WellbookError) -> int:
    """One line on standard error; as JSON where JSON was asked for."""
    if "--json" in given:
        from wellbook.present.envelope import error_json, json_text

        print(json_text(error_json(error.code, error.message, error.where)))
    else:
        from wellbook.cli.session import note

        for line in error.lines:
            note(line)
    return error.exit_status


def _speak_utf8() -> None:
    """A terminal of another code page shows a question mark rather than stop the program."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
