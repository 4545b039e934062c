"""The member schedule: every joist, beam, ledger, rim, blocking, brace, post, guard and stair."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Blocking, Brace, Flight, JoistLine, Joists, Point, Stair
from service.drawings.package.blocks import AnyBlock, Column, Section, breakable, listing, table
from service.drawings.package.marks import Marks, all_beams, all_joists, all_rims
from service.drawings.package.words import NOTHING, feet, length, lengths, number, place, words

Row = tuple[str, ...]
JOISTS = (
    Column("mark", 1.5), Column("lumber", 1.4), Column("spacing", 0.7, "right"), Column("lines", 0.5, "right"),
    Column("at", 1.6), Column("length", 1, "right"), Column("spans", 1.2), Column("overhang house, yard", 0.9, "right"),
    Column("bears on", 1.2),
)  # fmt: skip
BEAMS = (
    Column("mark", 1.4), Column("lumber", 1.4), Column("lies", 0.8), Column("from, to", 1.9),
    Column("bottom above datum", 0.9, "right"), Column("post to post", 1.1),
    Column("overhang start, end", 0.9, "right"), Column("splices", 1), Column("load on it, plf", 0.7, "right"),
)  # fmt: skip
LEDGERS = (
    Column("mark", 1.3), Column("lumber", 1.8), Column("from, to", 1.9),
    Column("lands on", 1), Column("sheathing", 0.8, "right"),
)  # fmt: skip
RIMS = (
    Column("mark", 1.5), Column("lumber", 1.8), Column("from, to", 1.9), Column("length", 0.9, "right"),
)  # fmt: skip
BLOCKING = (
    Column("member", 1.4), Column("size", 0.6), Column("length", 0.7, "right"), Column("pieces", 0.5, "right"),
    Column("what for", 3.6),
)  # fmt: skip
BRACES = (
    Column("member", 1.5), Column("post", 0.8), Column("beam", 0.8), Column("runs", 1.2), Column("lumber", 1.8),
    Column("length", 0.9, "right"),
)  # fmt: skip
POSTS = (
    Column("mark", 1.4), Column("lumber", 1.8), Column("x", 0.9, "right"),
    Column("y", 0.9, "right"), Column("beam", 0.7), Column("beam to footing", 1, "right"),
    Column("cut length", 1, "right"), Column("load, lb", 0.8, "right"),
)  # fmt: skip
GUARDS = (
    Column("mark", 0.6), Column("edge", 0.5, "right"), Column("from, to", 1.7),
    Column("height", 0.6, "right"), Column("post", 1.5), Column("place", 1.7), Column("mount", 0.7),
    Column("its load goes into", 1.8),
)  # fmt: skip
STAIRS = (
    Column("mark", 0.6), Column("flight", 0.5, "right"), Column("width", 0.7, "right"),
    Column("risers", 1.2, "right"), Column("treads", 1.2, "right"), Column("stringers", 1.6),
    Column("stringer length", 1, "right"), Column("throat", 0.8, "right"), Column("hangs on", 1),
    Column("handrail", 1), Column("guard", 0.9),
)  # fmt: skip
READING = (
    "Places are measured from the house corner at the frame's origin: x along the house wall, y out into the yard. "
    "Heights are above the ground there. Species and grades are as ordered.",
)


def member_schedule(report: DesignReport, marks: Marks) -> Section:
    """Return the section with every member of the frame, a table a kind."""
    blocks: list[AnyBlock] = [*listing("", READING)]
    blocks += table("Joists", JOISTS, _joists(report, marks))
    blocks += table("Beams", BEAMS, (_beam(beam, marks) for beam in all_beams(report)))
    blocks += table("Ledgers", LEDGERS, _ledgers(report, marks))
    blocks += table("Rims", RIMS, _rims(report, marks))
    blocks += table("Posts", POSTS, _posts(report, marks))
    blocks += table("Blocking", BLOCKING, map(_blocking, _all_blocking(report)))
    blocks += table("Braces", BRACES, (_brace(brace, marks) for brace in _all_braces(report)))
    blocks += table("Guards", GUARDS, _guards(report, marks))
    blocks += table("Stairs", STAIRS, _stairs(report, marks))
    return Section(title="Member schedule", blocks=tuple(blocks), new_page=True)


def _lumber(size: str, plies: int, species: str, grade: str) -> str:
    count = f"{plies} plies of " if plies > 1 else ""
    return f"{count}{size} {words(species)} {words(grade)}"


def _run(start_ft: Point, end_ft: Point) -> str:
    return f"{place(start_ft)}\n{place(end_ft)}"


def _joists(report: DesignReport, marks: Marks) -> Iterator[Row]:
    for joists in all_joists(report):
        for count, (alike, at) in enumerate(_alike(joists)):
            first = count == 0
            yield (
                marks.with_id(joists.id) if first else marks.of(joists.id),
                _lumber(joists.size, joists.plies, joists.species, joists.grade) if first else "",
                f"{number(joists.spacing_in)} in" if first else "",
                str(len(at)),
                _where(joists, at),
                length(alike.length_in),
                lengths(alike.spans_in),
                f"{length(alike.cantilever_house_in)}, {length(alike.cantilever_yard_in)}",
                _bears_on(alike, marks),
            )


def _alike(joists: Joists) -> list[tuple[JoistLine, list[float]]]:
    """Lines of one length, spans, overhangs and supports, each with where its lines lie."""
    found: dict[tuple[object, ...], tuple[JoistLine, list[float]]] = {}
    for line in joists.lines:
        key = (
            line.length_in, line.spans_in, line.cantilever_house_in, line.cantilever_yard_in, line.supports, line.laps,
            line.start_cut_deg, line.end_cut_deg,
        )  # fmt: skip
        at = line.x_ft if line.x_ft is not None else line.y_ft
        found.setdefault(key, (line, []))[1].append(at or 0.0)
    return list(found.values())


def _where(joists: Joists, at: Sequence[float]) -> str:
    axis = "x" if joists.direction == "away_from_house" else "y"
    first, last = min(at), max(at)
    return f"{axis} {feet(first)}" if first == last else f"{axis} {feet(first)} to {feet(last)}"


def _bears_on(line: JoistLine, marks: Marks) -> str:
    laps = "".join(f"; laps {length(lap.lap_in)} over {marks.of(lap.member)}" for lap in line.laps)
    return f"{marks.all_of(support.member for support in line.supports) or NOTHING}{laps}"


def _beam(beam: Beam, marks: Marks) -> Row:
    splices = ", ".join(f"ply {one.ply} on {marks.of(one.at_post)}" for one in beam.splices)
    return (
        marks.with_id(beam.id),
        _lumber(beam.size, beam.plies, beam.species, beam.grade),
        beam.placement,
        _run(beam.start_ft, beam.end_ft),
        length(beam.bottom_height_in),
        lengths(beam.spans_in),
        f"{length(beam.overhang_start_in)}, {length(beam.overhang_end_in)}",
        splices or "none",
        number(beam.line_load_plf),
    )


def _ledgers(report: DesignReport, marks: Marks) -> Iterator[Row]:
    for level in report.levels:
        for one in level.ledgers:
            lumber = _lumber(one.size, 1, one.species, one.grade)
            where = (_run(one.start_ft, one.end_ft), words(one.lands_on))
            yield (marks.with_id(one.id), lumber, *where, length(one.sheathing_thickness_in))


def _rims(report: DesignReport, marks: Marks) -> Iterator[Row]:
    for rim in all_rims(report):
        lumber = _lumber(rim.size, 1, rim.species, rim.grade)
        run = _run(rim.start_ft, rim.end_ft)
        yield (marks.with_id(rim.id), lumber, run, length(rim.length_in))


def _posts(report: DesignReport, marks: Marks) -> Iterator[Row]:
    for post in report.posts:
        yield (
            marks.with_id(post.id),
            _lumber(post.size, 1, post.species, post.grade),
            feet(post.x_ft),
            feet(post.y_ft),
            marks.of(post.beam),
            length(post.height_in),
            length(post.cut_length_in),
            number(post.load_lb),
        )


def _all_blocking(report: DesignReport) -> Iterator[Blocking]:
    for level in report.levels:
        yield from level.blocking


def _blocking(one: Blocking) -> Row:
    return (breakable(one.id), one.size, length(one.length_in), str(one.count), one.because)


def _all_braces(report: DesignReport) -> Iterator[Brace]:
    for level in report.levels:
        yield from level.braces
    for stair in report.stairs:
        yield from stair.braces


def _brace(one: Brace, marks: Marks) -> Row:
    lumber = _lumber(one.size, 1, one.species, one.grade)
    held = (marks.of(one.post), marks.of(one.beam), words(one.direction))
    return (breakable(one.id), *held, lumber, length(one.length_in))


def _guards(report: DesignReport, marks: Marks) -> Iterator[Row]:
    for level in report.levels:
        for guard in level.guards:
            run = (
                marks.of(guard.id),
                str(guard.edge),
                _run(guard.start_ft, guard.end_ft),
                length(guard.height_in),
            )
            for post in guard.posts:
                where = (place((post.x_ft, post.y_ft)), post.mount, marks.all_of(post.carried_by))
                yield (*run, breakable(post.id), *where)
                run = (marks.of(guard.id), "", "", "")


def _stairs(report: DesignReport, marks: Marks) -> Iterator[Row]:
    for stair in report.stairs:
        whole = _rails(stair, marks)
        for count, flight in enumerate(stair.flights, start=1):
            yield (marks.with_id(stair.id), str(count), length(stair.width_in), *_flight(flight), *whole)
            whole = ("", "", "")


def _flight(flight: Flight) -> Row:
    kind = f"{flight.stringers} {flight.stringer_kind}, {number(flight.stringer_spacing_in)} in apart"
    return (
        f"{flight.risers} of {number(flight.riser_in)} in",
        f"{flight.treads} of {number(flight.tread_in)} in",
        kind,
        length(flight.stringer_length_in),
        length(flight.throat_in),
    )


def _rails(stair: Stair, marks: Marks) -> tuple[str, str, str]:
    rail, guard = stair.handrail, stair.guard
    held = marks.of(stair.carried_by) if stair.carried_by else NOTHING
    return (
        held,
        f"{length(rail.height_in)}, {rail.sides} side" + "s" * (rail.sides != 1)
        if rail and rail.required
        else "none",
        f"{length(guard.height_in)}, {guard.sides} sides" if guard and guard.required else "none",
    )
