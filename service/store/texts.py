"""Rule and price texts as files have them, and how a text is kept line by line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from service.rules.parse import digest_of

RULE_TABLE_HEADINGS = 2
PRICE_BOOK_HEADINGS = 1


@dataclass(frozen=True)
class RulebookText:
    """The texts of one rulebook version: its `rulebook.toml` and its tables by name."""

    meta: str
    tables: Mapping[str, str]

    @property
    def digest(self) -> str:
        """The version's digest, as `service.rules` gives it for the parsed rulebook."""
        lines = (f"{name}\t{digest_of(text)}\n" for name, text in self.tables.items())
        return digest_of("".join(sorted(lines)))


@dataclass(frozen=True)
class NamedText:
    """A text, and the name of the file or row it comes from, for messages."""

    name: str
    text: str


@dataclass(frozen=True)
class Bundle:
    """Texts to be loaded together."""

    rulebooks: Sequence[RulebookText] = ()
    jurisdictions: Sequence[NamedText] = ()
    price_books: Sequence[NamedText] = ()


def split_lines(text: str, headings: int) -> tuple[list[str], list[str]]:
    r"""The preamble with `headings` lines of column heads, and the rows, of a text that ends with a line feed.

    >>> split_lines("#table: posts\nsize,height\n4x4,96\n", 1)
    (['#table: posts', 'size,height'], ['4x4,96'])
    """
    lines = text.split("\n")[:-1]
    start = sum(1 for line in lines if line.startswith("#")) + headings
    return lines[:start], lines[start:]


def joined_lines(header: Sequence[str], rows: Sequence[str]) -> str:
    """The text again, byte for byte."""
    return "".join(f"{line}\n" for line in (*header, *rows))
