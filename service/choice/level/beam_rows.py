"""Where rows of beams may run across a region: along the edges joists end at, and between them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from service.framing.beam_row import BeamRow, RowEnd
from service.framing.line import LEDGER_IN, RIM_IN
from service.framing.region import SAME_IN, WALL_GAP_IN, Bound, Region, Section

CANTILEVERS_IN = (12.0, 18.0, 24.0, 30.0, 36.0, 42.0, 48.0)
HOUSE_OFFSETS_IN = (24.0, 18.0, 30.0, 36.0, 12.0)
CLEAR_OF_HOUSE_IN = 18.0
SHORTEST_SPAN_IN = 18.0
APART_IN = 12.0  # nearer to another support a row between saves nothing (convention of this service)
SHORTEST_ROW_IN = 24.0
MOST_INNER = 4
JOINT_IN = 30.0
MERGED_IN = (0.0, 24.0)


def end_bearing_in(beam_width_in: float) -> float:
    """Return the distance from a beam's centre to the rim's outer face when joists end on the beam.

    They need 1.5 in of bearing: on a single ply the rim hangs past its face.

    >>> end_bearing_in(3.0), end_bearing_in(1.5)
    (1.5, 2.25)
    """
    return beam_width_in / 2 if beam_width_in >= 2 * RIM_IN else beam_width_in / 2 + RIM_IN


@dataclass(frozen=True)
class Wish:
    """How rows are to run.

    ``low_in`` and ``high_in`` are from the frame's outer face to the row's centre where joists begin and end,
    ``house_in`` from a wall the deck stands clear of; ``bearing_in`` is that distance where joists end on the
    beam. Rows under edges whose distance along the joists differs by ``merge_in`` at most are one straight row.
    ``plain`` groups, with whether joists end there or begin, get no cantilever.
    """

    low_in: float
    high_in: float
    house_in: float
    bearing_in: float
    merge_in: float
    plain: frozenset[tuple[tuple[int, ...], bool]] = frozenset()


def open_groups(region: Region, high: bool, merge_in: float) -> list[tuple[int, ...]]:
    """Return the sections, by number, whose joists end over one row on that side; those at ledgers are left out."""
    groups: list[list[int]] = []
    for number, section in enumerate(region.sections):
        if _bound(section, high).meets == "ledger":
            continue
        home = next((g for g in groups if _joins(region, g, number, high, merge_in)), None)
        if home is None:
            groups.append([number])
        else:
            home.append(number)
    return [tuple(group) for group in groups]


def _bound(section: Section, high: bool) -> Bound:
    return section.high if high else section.low


def _joins(region: Region, group: list[int], number: int, high: bool, merge_in: float) -> bool:
    last, here = region.sections[group[-1]], region.sections[number]
    one, other = _bound(last, high), _bound(here, high)
    if one.meets != other.meets or last.opens_at(here) is None or here.from_in < last.to_in - SAME_IN:
        return False
    if one == other:
        return True
    if merge_in <= 0 or one.meets != "open":
        return False
    ends = [_bound(region.sections[n], high).at(u) for n in (*group, number)
            for u in (region.sections[n].from_in, region.sections[n].to_in)]  # fmt: skip
    return max(ends) - min(ends) <= merge_in


def _offset_in(bound: Bound, high: bool, wish: Wish, plain: bool) -> float:
    if bound.meets in ("wall", "level"):
        return wish.house_in
    if bound.meets == "change" or plain:
        return wish.bearing_in
    return wish.high_in if high else wish.low_in


def _end_row(region: Region, group: tuple[int, ...], high: bool, wish: Wish) -> BeamRow | None:
    parts = [region.sections[n] for n in group]
    bounds = [_bound(part, high) for part in parts]
    inward = -1 if high else 1
    off = _offset_in(bounds[0], high, wish, (group, high) in wish.plain)
    a, b = parts[0].from_in, parts[-1].to_in
    one = bounds[0]
    level = max if not high else min
    if all(bound == one for bound in bounds) and not one.square and abs(one.slope) * (b - a) > wish.merge_in:
        off = off if one.meets in ("wall", "level") else wish.bearing_in
        start, end = ((u, one.at(u) + inward * (one.gap_in + off * one.stretch)) for u in (a, b))
    else:
        faces = [bound.at(u) + inward * bound.gap_in for part, bound in zip(parts, bounds, strict=True)
                 for u in (part.from_in, part.to_in)]  # fmt: skip
        v = level(faces) + inward * off
        start, end = (a, v), (b, v)
    row = BeamRow(start, end, group, low=not high, high=high, girder=one.meets == "change")
    return _trimmed(region, row)


def _trimmed(region: Region, row: BeamRow) -> BeamRow | None:
    """The row within the floor of its sections, and clear of walls beside its ends."""
    inside = [span for n in row.sections if (span := _inside(region.sections[n], row))]
    if not inside:
        return None
    a, b = min(s[0] for s in inside), max(s[1] for s in inside)
    left, right = region.flank_at(a, row.at(a)), region.flank_at(b, row.at(b))
    if left is not None:
        a = left.face_in
    if right is not None:
        b = right.face_in
    row = replace(row, start_in=(a, row.at(a)), end_in=(b, row.at(b)))
    if b <= a or row.length_in < SHORTEST_ROW_IN:
        return None
    return replace(row, ends=(_end_kind(region, row, a), _end_kind(region, row, b)))


def _inside(section: Section, row: BeamRow) -> tuple[float, float] | None:
    """Where a row lies between the bounds of a section."""
    a, b = max(section.from_in, row.start_in[0]), min(section.to_in, row.end_in[0])
    for bound, sign in ((section.low, 1), (section.high, -1)):
        left = _where_positive((a, b), *(sign * (row.at(u) - bound.at(u)) for u in (a, b)))
        if left is None:
            return None
        a, b = left
    return (a, b) if b - a > SAME_IN else None


def _where_positive(span: tuple[float, float], at_start: float, at_end: float) -> tuple[float, float] | None:
    """Where something that varies in a straight line over a span is not below 0."""
    if at_start < -SAME_IN and at_end < -SAME_IN:
        return None
    if at_start >= -SAME_IN and at_end >= -SAME_IN:
        return span
    zero = span[0] + (span[1] - span[0]) * at_start / (at_start - at_end)
    return (zero, span[1]) if at_start < 0 else (span[0], zero)


def _end_kind(region: Region, row: BeamRow, u_in: float) -> RowEnd:
    near = next((f for f in region.flanks if abs(f.face_in - u_in) < 0.01
                 and f.low_in - SAME_IN <= row.at(u_in) <= f.high_in + SAME_IN), None)  # fmt: skip
    if region.from_house_in(u_in, row.at(u_in)) < CLEAR_OF_HOUSE_IN:
        return "wall"
    return "free" if near is not None and near.meets == "open" else "joint"


def _even(start_in: float, end_in: float, bays: int) -> tuple[float, ...]:
    """Places at even distances, to a sixteenth: whole inches would make a mirrored frame another one."""
    return tuple(
        start_in + math.floor((end_in - start_in) * i / bays * 16 + 0.5 + SAME_IN) / 16
        for i in range(1, bays)
    )


@dataclass(frozen=True)
class _Held:
    """What holds the joists of a section at both ends: lines that give ``v`` at a ``u``."""

    low: BeamRow | Bound
    high: BeamRow | Bound

    def ends_in(self, u_in: float) -> tuple[float, float]:
        return (
            self.low.at(u_in) + (LEDGER_IN if isinstance(self.low, Bound) else 0.0),
            self.high.at(u_in) - (LEDGER_IN if isinstance(self.high, Bound) else 0.0),
        )


@dataclass(frozen=True, eq=False)
class EndRows:
    """The rows joists end over. ``held`` is what holds each section, ``runs`` are sections held alike, and ``ends``
    where the longest joists of each run are held, in.
    """

    region: Region
    rows: tuple[BeamRow, ...]
    held: tuple[_Held, ...]
    runs: tuple[tuple[int, ...], ...]
    ends: tuple[tuple[float, float], ...]

    @cached_property
    def _with(self) -> dict[tuple[int, ...], tuple[BeamRow, ...]]:
        """All rows by bays, worked out once."""
        return {}

    def bays(self, inner: int, reach_in: float) -> tuple[int, ...]:
        """Return the bays of each run: ``inner`` and one where joists are longest, elsewhere as few as they reach."""
        spans = [high - low for low, high in self.ends]
        longest = max(spans) - SAME_IN
        needed = [max(1, math.ceil(span / reach_in - SAME_IN)) if reach_in > 0 else 1 for span in spans]
        return tuple(
            inner + 1 if span > longest else min(inner + 1, few)
            for span, few in zip(spans, needed, strict=True)
        )

    def with_inner(self, bays: tuple[int, ...]) -> tuple[BeamRow, ...]:
        """Return all rows, those between at even distances."""
        if bays not in self._with:
            self._with[bays] = self._divided(bays)
        return self._with[bays]

    def _divided(self, bays: tuple[int, ...]) -> tuple[BeamRow, ...]:
        rows = list(self.rows)
        for run, (low, high), count in zip(self.runs, self.ends, bays, strict=True):
            for v in _even(low, high, count):
                rows += _cut_row(self.region, self.held, run, v)
        rows.sort(key=lambda row: (row.start_in[1] + row.end_in[1], row.start_in[0]))
        return tuple(_settled_ends(rows))


def _longest(region: Region, held: Sequence[_Held], run: tuple[int, ...]) -> tuple[float, float]:
    us = [u for n in run for u in (region.sections[n].from_in, region.sections[n].to_in)]
    return max((held[run[0]].ends_in(u) for u in us), key=lambda ends: ends[1] - ends[0])


def _runs(region: Region, held: Sequence[_Held]) -> list[tuple[int, ...]]:
    runs: list[list[int]] = []
    for number in range(len(region.sections)):
        home = next(
            (
                r
                for r in runs
                if held[r[-1]] == held[number]
                and abs(region.sections[r[-1]].to_in - region.sections[number].from_in) < SAME_IN
            ),
            None,
        )
        if home is None:
            runs.append([number])
        else:
            home.append(number)
    return [tuple(run) for run in runs]


def _cut_row(region: Region, held: Sequence[_Held], run: tuple[int, ...], v_in: float) -> Iterator[BeamRow]:
    first, last = region.sections[run[0]].from_in, region.sections[run[-1]].to_in
    whole = BeamRow((first, v_in), (last, v_in), run)
    stretches = [span for n in run if (span := _between(region.sections[n], held[n], v_in))]
    while stretches:
        a, b = stretches.pop(0)
        while stretches and abs(stretches[0][0] - b) < SAME_IN:
            b = stretches.pop(0)[1]
        row = _trimmed(region, replace(whole, start_in=(a, v_in), end_in=(b, v_in)))
        if row is not None:
            yield row


def _between(section: Section, held: _Held, v_in: float) -> tuple[float, float] | None:
    """Where a line lies clear of both supports of a section."""
    a, b = section.from_in, section.to_in
    for side, sign in ((0, 1), (1, -1)):
        clear = _where_positive((a, b), *(sign * (v_in - held.ends_in(u)[side]) - APART_IN for u in (a, b)))
        if clear is None:
            return None
        a, b = clear
    return (a, b) if b - a > SAME_IN else None


def end_rows(region: Region, wish: Wish) -> EndRows | None:
    """Return the rows joists end over as wished, or None where one has no room."""
    rows: list[BeamRow] = []
    low: dict[int, BeamRow] = {}
    high: dict[int, BeamRow] = {}
    for side, found in ((False, low), (True, high)):
        for group in open_groups(region, side, wish.merge_in):
            row = _end_row(region, group, side, wish)
            if row is None:
                return None
            rows.append(row)
            found |= dict.fromkeys(group, row)
    held = tuple(
        _Held(low.get(n, part.low), high.get(n, part.high)) for n, part in enumerate(region.sections)
    )
    if any(_crowded(part, one) for part, one in zip(region.sections, held, strict=True)):
        return None
    runs = tuple(_runs(region, held))
    return EndRows(region, tuple(rows), held, runs, tuple(_longest(region, held, run) for run in runs))


def _crowded(section: Section, held: _Held) -> bool:
    low, high = held.ends_in(section.middle_in)
    return section.square and high - low < SHORTEST_SPAN_IN


def _settled_ends(rows: Sequence[BeamRow]) -> Iterator[BeamRow]:
    """Where two rows meet, both keep their posts clear of the corner; an end with no other near is free."""
    for number, row in enumerate(rows):
        ends = row.ends
        if ends[0] == "joint" and not _meets_row(rows, number, row.start_in):
            ends = ("free", ends[1])
        if ends[1] == "joint" and not _meets_row(rows, number, row.end_in):
            ends = (ends[0], "free")
        yield row if ends == row.ends else replace(row, ends=ends)


def _meets_row(rows: Sequence[BeamRow], number: int, place: tuple[float, float]) -> bool:
    others = (other for place_of, other in enumerate(rows) if place_of != number)
    return any(_near(place, other.start_in) or _near(place, other.end_in) for other in others)


def _near(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return abs(one[0] - other[0]) + abs(one[1] - other[1]) < JOINT_IN


def wishes(
    region: Region, beam_width_in: float, placement: str, clear_of_house_in: float = 0.0
) -> Iterator[Wish]:
    """Yield the ways end rows may lie, in the order tried; none nearer to the house than asked for."""
    bearing = beam_width_in / 2 if placement == "flush" else end_bearing_in(beam_width_in)
    offsets = (bearing,) if placement == "flush" else (bearing, *CANTILEVERS_IN)
    kinds = {s.low.meets for s in region.sections} | {s.high.meets for s in region.sections}
    if "wall" in kinds and placement == "flush":
        return  # a flush beam would stand against the wall, its piers in the house footing
    kept_off = bool(kinds & {"wall", "level"})
    one_side = region.attached or kept_off
    at_house = HOUSE_OFFSETS_IN if not clear_of_house_in else (clear_of_house_in - WALL_GAP_IN,)
    nears = at_house if kept_off else (0.0,)
    for merge in MERGED_IN if _many(region) else MERGED_IN[:1]:
        for high in offsets:
            for near in nears:
                for low in (high,) if one_side else offsets:
                    yield Wish(low, high, near, bearing, merge)


def _many(region: Region) -> bool:
    """Whether several edges on one side could share a row."""
    return len({s.high.place for s in region.sections}) > 1 or len({s.low.place for s in region.sections}) > 1


def rising(rows: Sequence[BeamRow]) -> bool:
    """Return whether rows over the same place stand at least 18 in apart."""
    for one, other in pairwise(sorted(rows, key=lambda row: row.start_in[1])):
        apart = abs(one.start_in[1] - other.start_in[1])
        over = min(one.end_in[0], other.end_in[0]) - max(one.start_in[0], other.start_in[0])
        if over > SAME_IN and apart < SHORTEST_SPAN_IN and one.slope == other.slope == 0:
            return False
    return True
