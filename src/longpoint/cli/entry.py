"""The command line's one door: commands, and what becomes of a fault."""

from __future__ import annotations

import sys

import typer

import longpoint
from longpoint.cli import check, cut, examples, lay, look, new, plan, press, rehearse, replan, square, wind
from longpoint.cli.speaking import say_faults
from longpoint.errors import FaultsError, LongpointError

app = typer.Typer(
    name="longpoint",
    help="Plans a batch of painting supports: frames, cutting, cloth, building, sheets for the bench.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
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


app.command("new")(new.new)
app.command("examples")(examples.examples)
app.command("look")(look.look)
app.command("check")(check.check)
app.command("plan")(plan.plan)
app.command("replan")(replan.replan)
app.command("rehearse")(rehearse.rehearse)
app.command("square")(square.square)
app.command("wind")(wind.wind)
app.command("press")(press.press)
app.command("cut")(cut.cut)
app.command("lay")(lay.lay)


def main() -> None:
    """Runs a command; a fault becomes a message on stderr and exit code 2."""
    try:
        app()
    except FaultsError as error:
        say_faults(error.faults)
        sys.exit(2)
    except LongpointError as error:
        sys.stderr.write(f"{error}\n")
        sys.exit(2)
    except BrokenPipeError:
        # The reader of our output went away: nothing to say, and nobody to say it to.
        sys.stderr.close()
        sys.exit(1)
