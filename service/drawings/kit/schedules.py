"""The tables beside a plan: like members in one row."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from service.contract.report_frame import Beam, Footing, Level, Post, Stair
from service.drawings.kit.side import Table
from service.units.text import feet_inches

SPECIES = {
    "southern_pine": "SP",
    "douglas_fir_larch": "DFL",
    "hem_fir": "HF",
    "spruce_pine_fir": "SPF",
    "redwood": "RW",
    "western_cedar": "WC",
    "ponderosa_pine": "PP",
    "red_pine": "RP",
    "northern_species": "NS",
}


def wood(species: str, grade: str) -> str:
    """Return species and grade as short as they are written in a schedule.

    >>> wood("southern_pine", "no_2")
    'SP no. 2'
    """
    return (
        f"{SPECIES.get(species, species.replace('_', ' '))} {grade.replace('no_', 'no. ').replace('_', ' ')}"
    )


def lumber(size: str, plies: int = 1) -> str:
    """Return a size with its plies.

    >>> lumber("2x10", 3), lumber("2x8")
    ('(3) 2x10', '2x8')
    """
    return f"({plies}) {size}" if plies > 1 else size


def gathered(rows: Iterable[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    """Return rows with the marks of like ones together; the first column is the mark.

    >>> gathered([("B1", "2x8"), ("B2", "2x8"), ("B3", "2x10")])
    (('B1, B2', '2x8'), ('B3', '2x10'))
    """
    found: dict[tuple[str, ...], list[str]] = {}
    for mark, *rest in rows:
        found.setdefault(tuple(rest), []).append(mark)
    return tuple((_marks(marks), *rest) for rest, marks in found.items())


def _marks(marks: Sequence[str]) -> str:
    unique = list(dict.fromkeys(marks))
    return ", ".join(unique) if len(unique) <= 3 else f"{unique[0]} to {unique[-1]} ({len(unique)})"


def frame_table(levels: Sequence[Level]) -> Table:
    """Return the joists, ledgers and rims of levels."""
    rows: list[tuple[str, ...]] = []
    for level in levels:
        for joists in level.joists:
            longest = _longest(line.length_in for line in joists.lines)
            spaced = f"{joists.count} at {joists.spacing_in:g} in, to {longest}"
            rows.append(
                (joists.mark, lumber(joists.size, joists.plies), wood(joists.species, joists.grade), spaced)
            )
        for ledger in level.ledgers:
            long = _length(ledger.start_ft, ledger.end_ft)
            rows.append((ledger.mark, ledger.size, wood(ledger.species, ledger.grade), f"ledger, {long}"))
        rows += [
            (rim.mark, rim.size, wood(rim.species, rim.grade), f"rim, {feet_inches(rim.length_in)}")
            for rim in level.rims
        ]
    return Table("Joists, ledgers, rims", ("Mark", "Size", "Wood", "What"), gathered(rows))


def _longest(lengths_in: Iterable[float]) -> str:
    return feet_inches(max(lengths_in, default=0.0))


def _length(start: tuple[float, float], end: tuple[float, float]) -> str:
    return feet_inches(12 * ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5)


def beam_table(beams: Iterable[Beam]) -> Table:
    """Return the beams: built up or solid, dropped or flush, with their longest span."""
    rows = [
        (
            beam.mark,
            lumber(beam.size, beam.plies),
            wood(beam.species, beam.grade),
            f"{beam.placement}, {_length(beam.start_ft, beam.end_ft)}, spans to {_longest(beam.spans_in)}",
        )
        for beam in beams
    ]
    return Table("Beams", ("Mark", "Size", "Wood", "What"), gathered(rows))


def post_table(posts: Iterable[Post], saddles: Iterable[Footing] = ()) -> Table:
    """Return the posts with the lengths they are cut to, and the footings beams sit on with no post."""
    rows = [
        (
            post.mark,
            post.size,
            wood(post.species, post.grade),
            f"cut {feet_inches(post.cut_length_in)}, {post.load_lb:.0f} lb",
        )
        for post in posts
    ]
    rows += [(one.mark, "none", "", f"beam sits on it, {one.load_lb:.0f} lb") for one in saddles]
    return Table("Posts", ("Mark", "Size", "Wood", "What"), gathered(rows))


def guard_table(levels: Sequence[Level], stairs: Sequence[Stair]) -> Table:
    """Return guards with their height and posts, and stairs with their risers."""
    rows = [
        (
            guard.mark,
            f"{guard.height_in:g} in",
            f"guard, {len(guard.posts)} posts, {_length(guard.start_ft, guard.end_ft)}",
        )
        for level in levels
        for guard in level.guards
    ]
    for stair in stairs:
        risers = " + ".join(
            f"{flight.risers} risers of {feet_inches(flight.riser_in)}" for flight in stair.flights
        )
        rows.append((stair.mark, f"{stair.width_in:g} in", f"stair, {risers}"))
    return Table("Guards and stairs", ("Mark", "Height, width", "What"), gathered(rows))
