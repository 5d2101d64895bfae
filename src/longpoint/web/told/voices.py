"""How pages speak: a language and a unit that the reader chose, whatever the batch says."""

from __future__ import annotations

from typing import cast

from longpoint.drawing.words.voice import Voice, voice_of
from longpoint.units import LengthStyle, System

LANGUAGES = ("en", "de")
SYSTEMS = ("mm", "cm", "in")


def voice_for(language: str, system: str, *, fraction: int = 16) -> Voice:
    """The voice of a reader.

    Args:
        language: Two letters.
        system: mm, cm or in.
        fraction: Finest fraction of an inch.
    """
    known = cast("System", system if system in SYSTEMS else "mm")
    return voice_of(language if language in LANGUAGES else "en", LengthStyle(known, fraction))
