"""The connection schedule: every piece of hardware, how many, and which members it goes to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from service.contract.report import DesignReport
from service.contract.report_frame import Brace, Ledger
from service.drawings.package.blocks import AnyBlock, Column, Section, table
from service.drawings.package.marks import Marks
from service.drawings.package.words import NOTHING, length, number, place, unit_words
from service.units.text import item_words

Row = tuple[str, ...]
HARDWARE = (
    Column("hardware", 2.6), Column("quantity", 0.8, "right"), Column("unit", 0.5), Column("goes to", 4),
)  # fmt: skip
LEDGERS = (
    Column("mark", 0.6), Column("fastener", 2.2), Column("pieces", 0.6, "right"), Column("spacing", 0.8, "right"),
    Column("rows above datum", 1.2, "right"), Column("carries, sq ft", 0.8, "right"), Column("lateral devices", 2.2),
)  # fmt: skip
POSTS = (Column("post", 0.8), Column("base", 2.4), Column("cap", 2.4))
GUARD_POSTS = (Column("hardware of each", 2.6), Column("guard posts", 3))
BRACES = (Column("hardware of each", 2.6), Column("braces", 3))


def connection_schedule(report: DesignReport, marks: Marks) -> Section:
    """Return the section with every connection, by where it is and by item."""
    ledgers = (_ledger(one, marks) for level in report.levels for one in level.ledgers)
    blocks: list[AnyBlock] = [*table("Ledger to house", LEDGERS, ledgers)]
    blocks += table("Post bases and caps", POSTS, _posts(report, marks))
    blocks += table("Guard posts", GUARD_POSTS, _held(_guard_posts(report), marks))
    blocks += table("Braces", BRACES, _held(((one.id, one.hardware) for one in _braces(report)), marks))
    blocks += table("All hardware and fasteners", HARDWARE, _hardware(report, marks))
    return Section(title="Connection schedule", blocks=tuple(blocks), new_page=True)


def _ledger(one: Ledger, marks: Marks) -> Row:
    devices = (
        f"{number(device.capacity_lb)} lb at {place((device.x_ft, device.y_ft))}"
        for device in one.lateral_devices
    )
    return (
        marks.of(one.id),
        item_words(one.fastener),
        str(one.fastener_count),
        NOTHING if one.spacing_in is None else f"{number(one.spacing_in)} in",
        ", ".join(map(length, one.row_heights_in)) or NOTHING,
        number(one.tributary_sqft, 1),
        "; ".join(devices) or "none",
    )


def _posts(report: DesignReport, marks: Marks) -> Iterator[Row]:
    """Posts held alike in one row."""
    found: dict[tuple[str, str], list[str]] = {}
    for post in report.posts:
        held = tuple(item_words(code) if code else "none" for code in (post.base, post.cap))
        found.setdefault((held[0], held[1]), []).append(post.id)
    for (base, cap), posts in found.items():
        yield (marks.all_of(posts), base, cap)


def _guard_posts(report: DesignReport) -> Iterator[tuple[str, tuple[str, ...]]]:
    for level in report.levels:
        for guard in level.guards:
            for post in guard.posts:
                yield (post.id, post.hardware)


def _braces(report: DesignReport) -> Iterator[Brace]:
    for level in report.levels:
        yield from level.braces
    for stair in report.stairs:
        yield from stair.braces


def _held(given: Iterable[tuple[str, tuple[str, ...]]], marks: Marks) -> Iterator[Row]:
    """Members held by the same hardware in one row."""
    found: dict[tuple[str, ...], list[str]] = {}
    for member, hardware in given:
        found.setdefault(hardware, []).append(member)
    for hardware, members in found.items():
        counted = (f"{hardware.count(code)} {item_words(code)}" for code in dict.fromkeys(hardware))
        yield ("; ".join(counted) or "none", marks.all_of(members))


def _hardware(report: DesignReport, marks: Marks) -> Iterator[Row]:
    for line in report.takeoff.hardware:
        where = marks.all_of(line.members) or NOTHING
        yield (item_words(line.item), number(line.quantity), unit_words(line.unit), where)
