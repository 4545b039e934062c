"""How members are called: by the mark the drawings show, or else by their id."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Footing, Guard, Joists, Ledger, Post, Rim, Stair
from service.drawings.package.blocks import breakable
from service.drawings.package.words import words

_ID = re.compile(r"\w[\w-]*(?:\.[\w-]+)+")
_LAST = re.compile(r"^(.*?)(\d+)$")


@dataclass(frozen=True)
class Marks:
    """Marks by member id."""

    marks: Mapping[str, str]

    def of(self, member: str) -> str:
        """Return the mark of a member, its id where it has none."""
        return breakable(self.marks.get(member, member))

    def with_id(self, member: str) -> str:
        """Return the mark of a member with its id under it, which texts call it by."""
        return f"{self.of(member)}\n{breakable(member)}"

    def told(self, text: str) -> str:
        """Return a text for people with marks in place of ids.

        >>> Marks({"main.beam-1": "B1"}).told("main.beam-1 carries main.joists-7.")
        'B1 carries main.joists-7.'
        """
        return _ID.sub(lambda found: self.marks.get(found[0], found[0]), text)

    def all_of(self, members: Iterable[str]) -> str:
        """Return the marks of members, running numbers drawn together.

        >>> Marks({"a.post-1-1": "P1-1"}).all_of(["a.post-1-1", "b-1", "b-2", "b-3"])
        'P1-1, b-1 to b-3'
        """
        return ", ".join(_runs([self.of(member) for member in dict.fromkeys(members)]))


def marks_of(report: DesignReport) -> Marks:
    """Return the marks of every member that has one, and what heavy objects are called."""
    things = report.resolved_spec.heavy_objects
    kinds = Counter(thing.kind for thing in things)
    heavy = {
        f"deck.heavy-{number}": f"the {words(thing.kind)}" + (f" {number}" if kinds[thing.kind] > 1 else "")
        for number, thing in enumerate(things, start=1)
    }
    return Marks({one.id: one.mark for one in _marked(report)} | heavy)


def all_joists(report: DesignReport) -> Iterator[Joists]:
    """Yield the joists of levels and of stair landings."""
    for level in report.levels:
        yield from level.joists
    for stair in report.stairs:
        for landing in stair.landings:
            yield from landing.joists


def all_rims(report: DesignReport) -> Iterator[Rim]:
    """Yield the rims of levels and of stair landings."""
    for level in report.levels:
        yield from level.rims
    for stair in report.stairs:
        for landing in stair.landings:
            yield from landing.rims


def all_beams(report: DesignReport) -> Iterator[Beam]:
    """Yield the beams of levels and of stairs."""
    for level in report.levels:
        yield from level.beams
    for stair in report.stairs:
        yield from stair.beams


def _marked(report: DesignReport) -> Iterator[Joists | Rim | Beam | Ledger | Guard | Post | Footing | Stair]:
    yield from all_joists(report)
    yield from all_rims(report)
    yield from all_beams(report)
    for level in report.levels:
        yield from level.ledgers
        yield from level.guards
    yield from report.posts
    yield from report.footings
    yield from report.stairs


def _runs(names: list[str]) -> Iterator[str]:
    start = 0
    while start < len(names):
        end = start
        while end + 1 < len(names) and _follows(names[end], names[end + 1]):
            end += 1
        if end - start > 1:
            yield f"{names[start]} to {names[end]}"
        else:
            yield from names[start : end + 1]
        start = end + 1


def _follows(name: str, after: str) -> bool:
    one, other = _LAST.match(name), _LAST.match(after)
    return bool(one and other and one[1] == other[1] and int(one[2]) + 1 == int(other[2]))
