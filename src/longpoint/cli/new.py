"""``longpoint new``: a batch file from five answers, short, or whole with every key."""

from __future__ import annotations

import sys
from dataclasses import fields, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from longpoint.model.answers import Answers


def new(
    file: Annotated[Path, typer.Argument(help="Batch file to write; it must not be there yet.")],
    unit: Annotated[str, typer.Option(help="Unit of bare numbers: mm, cm, m, in or ft.")] = "",
    timber: Annotated[
        str, typer.Option(help='Sections on sale: "18 x 44", "1x2"; several with \', \' between.')
    ] = "",
    lengths: Annotated[str, typer.Option(help='Lengths of its boards: "2400, 3600", "8 ft".')] = "",
    cloth: Annotated[str, typer.Option(help='Width of the roll and what it is: "2100 raw cotton".')] = "",
    work: Annotated[str, typer.Option(help='The first work: "1700 x 1200", "Reeds: 1.7 m x 1.2 m".')] = "",
    whole: Annotated[
        bool, typer.Option("--all", help="Every key that there is, with its default and meaning.")
    ] = False,
) -> None:
    """Write a batch file from five answers: asked for in a terminal, or given as options."""
    from longpoint.cli.writing import check_file, write_file
    from longpoint.errors import Fault, FaultsError, Where
    from longpoint.model.answers import Answers, wrong_answer
    from longpoint.model.starter import starter_text

    check_file(file)
    answers = Answers(unit=unit, timber=timber, lengths=lengths, cloth=cloth, work=work)
    if answers == Answers() and sys.stdin.isatty() and sys.stdout.isatty():
        answers = _asked()
    names = ["unit"] if wrong_answer("unit", answers) else [field.name for field in fields(answers)]
    wrong = {name: said.partition("; ") for name in names if (said := wrong_answer(name, answers))}
    if wrong:
        raise FaultsError(
            Fault("bad-answer", f"{what}.", f"{mend[:1].upper()}{mend[1:]}.", Where(f"--{name}"))
            for name, (what, _, mend) in wrong.items()
        )
    write_file(file, starter_text(answers, whole=whole).encode())
    typer.echo(f"{file} is written. Look at it: longpoint look {file}   Plan it: longpoint plan {file}")


def _asked() -> Answers:
    """The five answers, each asked for until it can be read; an empty one takes what is usual."""
    from longpoint.model.answers import QUESTIONS, Answers, usual, wrong_answer

    typer.echo("Five questions; the return key alone takes what stands in brackets.")
    answers = Answers()
    for name, question in QUESTIONS.items():
        while True:
            given = input(f"{question} [{usual(name, answers.unit)}] ").strip()
            tried = replace(answers, **{name: given})
            wrong = wrong_answer(name, tried)
            if not wrong:
                answers = tried
                break
            typer.echo(f"  {wrong}.")
    return answers
