"""The command line's one door: commands, and what becomes of a fault."""

from __future__ import annotations

import codecs
import errno
import functools
import os
import sys
from collections.abc import Callable

import typer

import longpoint
from longpoint.cli import (
    account,
    book,
    check,
    compare,
    cut,
    examples,
    keeping,
    lay,
    look,
    new,
    plan,
    press,
    rack,
    rehearse,
    replan,
    serve,
    square,
    strips,
    wind,
)
from longpoint.errors import FaultsError, LongpointError

DONE, MISSED, REFUSED = 0, 1, 2
"""Exit codes: done; computed, and something does not hold; refused, nothing was written."""

app = typer.Typer(
    name="longpoint",
    help="Plans a batch of painting supports: frames, cutting, cloth, building, sheets for the bench.",
    epilog="Exit codes: 0 done; 1 computed, and a limit is missed (check); 2 refused, nothing was written.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"longpoint {longpoint.__version__}")
        raise typer.Exit


@app.callback()
def _about(
    version: bool = typer.Option(
        False, "--version", callback=_version, is_eager=True, help="Say the version and stop."
    ),
) -> None:
    """Plans a batch of painting supports."""


class _Unheard(Exception):
    """What was to be printed cannot be."""


def _heard(command: Callable[..., int | None]) -> Callable[..., int | None]:
    """A command whose failing output reaches `main`, not the library's own idea of it."""

    @functools.wraps(command)
    def run(*given: object, **named: object) -> int | None:
        try:
            return command(*given, **named)
        except OSError as error:
            raise _Unheard(error) from error

    return run


for _command in (
    new.new, examples.examples, look.look, check.check, plan.plan, compare.compare, replan.replan, rehearse.rehearse,
    square.square, strips.strips, wind.wind, press.press, cut.cut, lay.lay, serve.serve,
):  # fmt: skip
    app.command(_command.__name__)(_heard(_command))

for _room in (rack.app, book.app, keeping.app, account.app):
    for _info in _room.registered_commands:
        assert _info.callback is not None
        _info.callback = _heard(_info.callback)
    app.add_typer(_room)


def main() -> None:
    """Runs a command; a fault becomes a message on stderr and exit code 2."""
    _speak_any_terminal()
    code = _run()
    try:
        sys.stdout.flush()
        sys.stderr.flush()
    except OSError as error:
        code = _unheard(error)
    sys.exit(code)


def _run() -> int:
    try:
        # What a command returns is its exit code; most return nothing.
        return app(standalone_mode=False, prog_name="longpoint") or DONE
    except FaultsError as error:
        from longpoint.cli.speaking import say_faults

        say_faults(error.faults)
        return REFUSED
    except LongpointError as error:
        sys.stderr.write(f"{error}\n")
        return REFUSED
    except MemoryError:
        sys.stderr.write("There is not enough memory for this. Ask for fewer works or parts at a time.\n")
        return REFUSED
    except _Unheard as error:
        return _unheard(error.args[0])
    except OSError as error:
        return _unheard(error)
    except (
        SystemExit
    ) as error:  # a program whose reader went away ends so, and one that a shell asks to complete
        if "_LONGPOINT_COMPLETE" in os.environ:
            return int(error.code or DONE)
        return _unheard(BrokenPipeError(errno.EPIPE, os.strerror(errno.EPIPE)))
    except typer.Abort:
        return 128 + 2
    except Exception as error:
        if not hasattr(error, "show"):
            raise
        error.show()  # of a wrong call: the command library's own, which is not always the same class
        return REFUSED


def _unheard(error: OSError) -> int:
    """What was to be printed cannot be: a closed pipe needs no word, a full disk does.

    Raises:
        OSError: If it is none of these.
    """
    if error.errno not in (errno.EPIPE, errno.ENOSPC, errno.EIO, errno.EBADF):
        raise error
    # Whatever is still waiting would fail again when Python ends.
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    if error.errno == errno.EPIPE:
        os.dup2(nowhere, 2)
    if error.errno == errno.EPIPE:
        return 128 + 13
    sys.stderr.write(f"What was to be printed cannot be: {(error.strerror or str(error)).lower()}.\n")
    return REFUSED


_NEAREST = {
    "×": "x", "–": "-", "—": "-", "−": "-", "…": "...", "→": "->", "✓": "+", "✗": "x", "·": "-", "“": '"', "”": '"',
    "’": "'", "‘": "'", "\N{NARROW NO-BREAK SPACE}": " ", "\N{NO-BREAK SPACE}": " ", "²": "2", "³": "3", "½": " 1/2",
    "¼": " 1/4", "¾": " 3/4", "°": " deg", "ä": "ae", "ö": "oe", "ü": "ue", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue", "ß": "ss",
}  # fmt: skip


def _nearest(error: UnicodeError) -> tuple[str, int]:
    """Signs that a terminal does not know, by the nearest it does."""
    assert isinstance(error, UnicodeEncodeError)
    found = error.object[error.start : error.end]
    return "".join(_NEAREST.get(sign, "?") for sign in found), error.end


def _speak_any_terminal() -> None:
    codecs.register_error("longpoint-nearest", _nearest)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="longpoint-nearest")
