"""The first page: batches on the desk, a new one from a few answers, the examples, a file from disk."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, File, Form, Request, UploadFile
from starlette.responses import Response

from longpoint.errors import FaultsError
from longpoint.export.examples import about_example, example_files
from longpoint.model.answers import Answers, wrong_answer
from longpoint.model.starter import starter_text
from longpoint.web.batch_text import read
from longpoint.web.desk import NotThereError
from longpoint.web.room import UNIT_COOKIE, WORDS_COOKIE, page, room_of, safe_back, see
from longpoint.web.told.voices import SYSTEMS
from longpoint.web.words import LANGUAGES

router = APIRouter(include_in_schema=False)

_ANSWERS = ("unit", "work", "timber", "lengths", "cloth")
_YEAR = 60 * 60 * 24 * 365


def _begin(request: Request, *, given: dict[str, str], wrong: dict[str, str], status: int = 200) -> Response:
    batches = room_of(request).desk.listed()
    examples = [(name, about_example(item)) for name, item in example_files().items()]
    return page(
        request, "begin.html", status=status, batches=batches, examples=examples, given=given, wrong=wrong
    )


@router.get("/")
def begin(request: Request) -> Response:
    """What is on the desk, and how to begin."""
    return _begin(request, given={}, wrong={})


@router.post("/new")
def new(
    request: Request,
    unit: Annotated[str, Form(max_length=8)] = "mm",
    work: Annotated[str, Form(max_length=200)] = "",
    timber: Annotated[str, Form(max_length=400)] = "",
    lengths: Annotated[str, Form(max_length=400)] = "",
    cloth: Annotated[str, Form(max_length=200)] = "",
) -> Response:
    """A batch from a few answers."""
    answers = Answers(unit=unit, timber=timber, lengths=lengths, cloth=cloth, work=work)
    wrong = {name: said for name in _ANSWERS if (said := wrong_answer(name, answers))}
    given = {name: getattr(answers, name) for name in _ANSWERS}
    if wrong:
        return _begin(request, given=given, wrong=wrong, status=422)
    text = starter_text(answers, whole=False)
    try:
        return _kept(request, text)
    except FaultsError as error:
        return _begin(request, given=given, wrong={"work": str(error.faults[0])}, status=422)


@router.post("/example")
def example(request: Request, name: Annotated[str, Form(max_length=60)]) -> Response:
    """A copy of an example."""
    found = example_files()
    if name not in found:
        raise NotThereError(name)
    return _kept(request, found[name].read_text(encoding="utf-8"))


@router.post("/open")
def open_file(request: Request, batch: Annotated[UploadFile, File()]) -> Response:
    """A batch file from the reader's own disk."""
    contents = batch.file.read(500_001)
    try:
        return _kept(request, _decoded(contents))
    except FaultsError as error:
        faults = [str(fault) for fault in error.faults]
        return page(request, "refused.html", status=422, faults=faults)


def _decoded(contents: bytes) -> str:
    from longpoint.model.reading import read_batch_text

    if len(contents) > 500_000:
        return " " * 500_001  # refused as too long, with the words for that
    read_batch_text(contents)  # says kindly what is no text
    return contents.decode("utf-8-sig")


def _kept(request: Request, text: str) -> Response:
    batch = read(text)
    ident = room_of(request).desk.new_batch(text, title=batch.title, works=len(batch.work))
    return see(f"/b/{ident}")


@router.post("/shown")
def shown(
    request: Request,
    back: Annotated[str, Form(max_length=200)] = "/",
    words: Annotated[str, Form(max_length=4)] = "",
    unit: Annotated[str, Form(max_length=4)] = "",
) -> Response:
    """The language and the unit that pages speak from now on."""
    answer = see(safe_back(back))
    if words in LANGUAGES:
        answer.set_cookie(WORDS_COOKIE, words, samesite="strict", httponly=True, max_age=_YEAR)
    if unit in SYSTEMS:
        answer.set_cookie(UNIT_COOKIE, unit, samesite="strict", httponly=True, max_age=_YEAR)
    return answer
