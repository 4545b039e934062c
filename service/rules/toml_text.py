"""TOML texts that anybody may send: what would cost much to read is refused before it is read."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any

from service.rules.faults import TableFault, TableRefused

MOST_CHARACTERS, LONGEST_LINE = 262_144, 4_000
MOST_DOTS, DEEPEST = 20, 20
# Possessive, so that each character is looked at once; a text without its end goes on to the end of the file.
_QUOTED = re.compile(
    r'#[^\n]*|"""(?:[^"\\]|\\.|"(?!""))*+(?:"{3,5}|\Z|\\)'
    r"|'''(?:[^']|'(?!''))*+(?:'{3,5}|\Z)"
    r'|"(?:[^"\\\n]|\\[^\n])*+"?'
    r"|'[^'\n]*+'?",
    re.DOTALL,
)
_DOTTED = re.compile(rf"(?<![\w-])(?:[\w-]++[ \t]*+\.[ \t]*+){{{MOST_DOTS + 1}}}")
_BRACKET = re.compile(r"[\[{\]}]")
_SAID_LINE = re.compile(r"at line ([0-9]+)")


def read_toml(text: str, file_name: str) -> dict[str, Any]:
    r"""Return what a TOML text says.

    Raises:
        TableRefused: it is no TOML, or longer, wider or deeper than texts taken here

    >>> read_toml("id = 'a-town'\n", "a-town.toml")
    {'id': 'a-town'}
    """
    fault = next(_too_much(text), None)
    if fault is not None:
        raise TableRefused([TableFault(file_name, fault[0], None, fault[1])])
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise TableRefused([TableFault(file_name, _line_in(str(error)), None, str(error))]) from error
    except (ValueError, RecursionError, OverflowError) as error:
        raise TableRefused([unreadable(error, file_name)]) from error


def unreadable(error: Exception, file_name: str) -> TableFault:
    """Return the fault of a text with a value no program here can take, such as a number of 5,000 digits."""
    return TableFault(file_name, 1, None, f"cannot be read: {str(error)[:120]}")


def _too_much(text: str) -> Iterator[tuple[int, str]]:
    """What makes a text too much to read, with its line."""
    if len(text) > MOST_CHARACTERS:
        yield 1, f"the text has {len(text)} characters, at most {MOST_CHARACTERS} are taken"
        return
    for number, line in enumerate(text.split("\n"), start=1):
        if len(line) > LONGEST_LINE:
            yield number, f"the line has {len(line)} characters, at most {LONGEST_LINE} are taken"
    bare = _QUOTED.sub(_without_quotes, text)
    dotted = _DOTTED.search(bare)
    if dotted:
        yield _line_at(bare, dotted.start()), f"a key with more than {MOST_DOTS} dots"
    depth = 0
    for bracket in _BRACKET.finditer(bare):
        depth += 1 if bracket[0] in "[{" else -1
        if depth > DEEPEST:
            yield _line_at(bare, bracket.start()), f"brackets within more than {DEEPEST} others"
            return


def _without_quotes(found: re.Match[str]) -> str:
    """A word in the place of a quoted one, as it may be part of a key; lines stay."""
    return "" if found[0].startswith("#") else "q" + "\n" * found[0].count("\n")


def _line_at(text: str, place: int) -> int:
    return text.count("\n", 0, place) + 1


def _line_in(message: str) -> int:
    """The line a TOML error names in its own words."""
    found = _SAID_LINE.search(message)
    return int(found[1]) if found else 1
