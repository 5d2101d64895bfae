"""The letters that stand for a work on its parts."""

from __future__ import annotations

ALPHABET = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Without I and O, which look like numbers on a pencilled board."""


def letters(index: int) -> str:
    """Letters of the work with that index, from 0: A to Z, then AA, AB and so on."""
    text = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, len(ALPHABET))
        text = ALPHABET[rest] + text
    return text
