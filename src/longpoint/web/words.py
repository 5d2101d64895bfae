"""What pages say, in two languages: one file each, the same keys in both."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from functools import cache
from importlib.resources import files

LANGUAGES = ("en", "de")


@cache
def texts(language: str) -> Mapping[str, str]:
    """Every text of a language by its key, e.g. ``begin.title``."""
    source = (files("longpoint.web") / "words" / f"{language}.toml").read_text(encoding="utf-8")
    return {
        f"{table}.{key}": text for table, rows in tomllib.loads(source).items() for key, text in rows.items()
    }


def voice(language: str) -> Callable[..., str]:
    """A function that says a key in a language, values put in."""
    known = texts(language if language in LANGUAGES else "en")

    def say(key: str, /, **values: object) -> str:
        text = known[key]
        return text.format_map(values) if values else text

    return say
