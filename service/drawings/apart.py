"""Marks that tell levels apart: each level counts its members from one."""

from __future__ import annotations

from typing import TypeVar

import msgspec

from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Footing, Guard, Joists, Ledger, Level, Post, Rim

_DECK = "deck"  # the level word of what belongs to the whole deck
Marked = TypeVar("Marked", Joists, Ledger, Rim, Beam, Guard, Post, Footing)


def told_apart(report: DesignReport) -> DesignReport:
    """Return a report of several levels with the level before each mark; one of a single level as it is.

    All that is printed of a design goes by these marks, so that sheets and schedules call a member alike.
    """
    if len(report.levels) < 2:
        return report
    return msgspec.structs.replace(
        report,
        levels=tuple(_level(one) for one in report.levels),
        posts=tuple(_marked(one, one.level) for one in report.posts),
        footings=tuple(_marked(one, one.id.partition(".")[0]) for one in report.footings),
    )


def _level(level: Level) -> Level:
    return msgspec.structs.replace(
        level,
        joists=tuple(_marked(one, level.id) for one in level.joists),
        ledgers=tuple(_marked(one, level.id) for one in level.ledgers),
        rims=tuple(_marked(one, level.id) for one in level.rims),
        beams=tuple(_marked(one, level.id) for one in level.beams),
        guards=tuple(_marked(one, level.id) for one in level.guards),
    )


def _marked(one: Marked, level: str) -> Marked:
    return one if level == _DECK else msgspec.structs.replace(one, mark=f"{level} {one.mark}")
