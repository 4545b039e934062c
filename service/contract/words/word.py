"""What is kept of a word: its code, its meaning, and the version it came with."""

from __future__ import annotations

from typing import Literal

import msgspec

FIRST = "1.0.0"


class Word(msgspec.Struct, frozen=True):
    """A code, what it means in one sentence, and the first version that knew it. Never used again."""

    code: str
    meaning: str
    since: str


class WordList(msgspec.Struct, frozen=True):
    """The words of one field. A fixed list is a schema ``enum``; an open one may grow in answers."""

    name: str
    kind: Literal["fixed", "open"]
    words: tuple[Word, ...]


class ProblemKind(msgspec.Struct, frozen=True, kw_only=True):
    """A problem code with its HTTP status, its title and the text of its page."""

    code: str
    status: int
    title: str
    page: str
    since: str = FIRST


def fixed(name: str, meanings: dict[str, str], since: str = FIRST) -> WordList:
    """Return a list whose words are a schema enum.

    >>> fixed("paper", {"letter": "8.5 by 11 inches"}).words[0].code
    'letter'
    """
    return WordList(name, "fixed", _words(meanings, since))


def open_list(name: str, meanings: dict[str, str], since: str = FIRST) -> WordList:
    """Return a list that may grow without breaking a client.

    >>> open_list("permit", {"zoning": "Setbacks and coverage"}).kind
    'open'
    """
    return WordList(name, "open", _words(meanings, since))


def _words(meanings: dict[str, str], since: str) -> tuple[Word, ...]:
    return tuple(Word(code, meaning, since) for code, meaning in meanings.items())
