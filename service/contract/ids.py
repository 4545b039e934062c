"""Forms of ids: how they are written, and how they are taken apart."""

from __future__ import annotations

import re
from functools import lru_cache

import msgspec

NAME = re.compile(r"(?=[a-z0-9-]{3,40}\Z)[a-z][a-z0-9]*(-[a-z0-9]+)*")
LEVEL = re.compile(r"[a-z][a-z0-9-]{0,23}")
MEMBER = re.compile(r"[a-z][a-z0-9-]*(\.[a-z][a-z0-9-]*)+")
CODE = re.compile(r"[a-z][a-z0-9_]{2,47}")
ITEM = re.compile(r"[a-z][a-z0-9_]*(\.[a-z0-9][a-z0-9_-]*){1,6}")
SKU = re.compile(r"[A-Za-z0-9][A-Za-z0-9._/-]{0,39}")
DIGEST = re.compile(r"[0-9a-f]{64}")
DESIGN = re.compile(r"[0-9a-f]{32}")
REQUEST = re.compile(r"[0-9a-f]{32}")
REFERENCE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._:/# -]{0,63}")
_VERSION = re.compile(r"[1-9][0-9]{0,5}")

RESERVED_LEVELS = ("grade", "pad", "deck", "house", "site")
DECK = "deck"


class Pinned(msgspec.Struct, frozen=True):
    """A name with a version, or with none: then the version in force."""

    name: str
    version: int | None


def pinned(text: str) -> Pinned:
    """Take a name apart from its pinned version.

    >>> pinned("irc-2021@2")
    Pinned(name='irc-2021', version=2)
    >>> pinned("irc-2021").version is None
    True
    """
    name, at, version = text.partition("@")
    if not NAME.fullmatch(name) or (at and not _VERSION.fullmatch(version)):
        raise ValueError(f"{text!r} is not a name such as irc-2021 or irc-2021@2")
    return Pinned(name, int(version) if at else None)


def pinned_text(name: str, version: int) -> str:
    """Write a name with its version.

    >>> pinned_text("irc-2021", 2)
    'irc-2021@2'
    """
    return f"{name}@{version}"


def member(level: str, kind: str, number: int, place: int | None = None) -> str:
    """Write the id of a member of a level.

    >>> member("main", "post", 2, 3)
    'main.post-2-3'
    >>> member("main", "joists", 1)
    'main.joists-1'
    """
    return f"{level}.{kind}-{number}" + ("" if place is None else f"-{place}")


def deck_member(kind: str, number: int) -> str:
    """Write the id of a member that belongs to no level.

    >>> deck_member("stair", 1)
    'deck.stair-1'
    """
    return member(DECK, kind, number)


def part(owner: str, kind: str, number: int) -> str:
    """Write the id of a part of a member.

    >>> part(deck_member("stair", 1), "stringer", 2)
    'deck.stair-1.stringer-2'
    """
    return f"{owner}.{kind}-{number}"


def check(member_id: str, name: str, basis: str, number: int | None = None) -> str:
    """Write the id of a check; repeated ones (spans, load cases) are numbered.

    >>> check("main.joists-1", "joist_bending", "calculated", 2)
    'main.joists-1:joist_bending:calculated:2'
    """
    return f"{member_id}:{name}:{basis}" + ("" if number is None else f":{number}")


# An order is counted again for every frame: it asks for the same few hundred codes all the time.
@lru_cache(maxsize=4096)
def item(kind: str, *attributes: str) -> str:
    """Write the code of an item of an order: its kind, size, then attributes in the kind's order.

    >>> item("lumber", "2x10", "southern_pine", "no_2", "uc3b")
    'lumber.2x10.southern_pine.no_2.uc3b'
    """
    text = ".".join((kind, *attributes))
    if not ITEM.fullmatch(text):
        raise ValueError(f"{text!r} is not an item code such as decking.5-4x6.wood")
    return text


def item_kind(code: str) -> str:
    """Return the kind an item code begins with.

    >>> item_kind("post.6x6.southern_pine.no_2.uc4b")
    'post'
    """
    return code.partition(".")[0]
