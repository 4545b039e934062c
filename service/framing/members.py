"""From layouts to the members of a level: joists, rims, beams, posts and what stands under them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from service.contract.report_frame import Beam, JoistLine, Joists, Lap, Point, Post, Rim, Splice, Support
from service.framing.beam_lines import Joints, ply_splices
from service.framing.beam_row import BeamRow
from service.framing.boards import Boards
from service.framing.edge_loads import EdgeLoad, Taken, taken
from service.framing.ground import Grade
from service.framing.heights import Stack, foot, stack
from service.framing.joist_lines import JOIST_IN, joist_places
from service.framing.layout import Layout
from service.framing.line import LineLayout
from service.framing.region import Bound
from service.framing.rims import rims_of
from service.framing.stands import Owner, Stand, post_of
from service.framing.statics import Share, Shares, carried, line_load_plf, row_reactions_lb
from service.framing.tributary import Placed

LAP_IN = 3.0  # from memory; each joist still bears 1.5 in


@dataclass(frozen=True)
class Setting:
    """Where a level is built: its lumber, its heights, the ground, and the loads of stairs on its edges.

    ``joints`` says of some beams over which posts their plies are joined; those of others are the fewest.
    """

    level: str
    species: str
    grade: str
    surface_in: float
    decking_in: float
    ground: Grade
    design_psf: float
    boards: Boards
    loads: tuple[EdgeLoad, ...] = ()
    joints: Mapping[str, Joints] = field(default_factory=dict)

    @property
    def owner(self) -> Owner:
        """Whose beams stand here."""
        return Owner(self.level, self.level, self.species, self.grade)

    def stack(self, layout: Layout) -> Stack:
        """Return the heights of one layout."""
        return stack(self.surface_in, self.decking_in, layout.joist_size, layout.beam_size, layout.placement)


@dataclass(frozen=True)
class Numbers:
    """The first numbers of one layout's members on its level, and the number of each of its rows."""

    joists: int
    rim: int
    beams: tuple[int, ...]
    ledgers: Mapping[int, int]


@dataclass(frozen=True)
class Members:
    """The members that one layout settles. ``placed`` are its joist lines as laid out, in the order of ``joists``."""

    layout: Layout
    numbers: Numbers
    joists: Joists
    placed: tuple[LineLayout, ...]
    rims: tuple[Rim, ...]
    beams: tuple[Beam, ...]
    stands: tuple[Stand, ...]
    posts: tuple[Post, ...]
    shares: Shares

    @cached_property
    def names(self) -> dict[int, str]:
        """The id of every row."""
        return {row: beam.id for row, beam in enumerate(self.beams)}

    @cached_property
    def kinds(self) -> tuple[tuple[tuple[str, ...], tuple[LineLayout, ...]], ...]:
        """The joist lines that rest on the same members, together, with what they rest on."""
        found: dict[tuple[str, ...], list[LineLayout]] = {}
        for line, wire in zip(self.placed, self.joists.lines, strict=True):
            found.setdefault(tuple(s.member for s in wire.supports), []).append(line)
        return tuple((names, tuple(dict.fromkeys(lines))) for names, lines in found.items())


def beam_id(level: str, number: int, girder: bool = False) -> str:
    """Return the id of a beam; a girder counts among them.

    >>> beam_id("main", 1), beam_id("main", 3, girder=True)
    ('main.beam-1', 'main.girder-3')
    """
    return f"{level}.{'girder' if girder else 'beam'}-{number}"


def numbered(layouts: Sequence[Layout]) -> tuple[Numbers, ...]:
    """Return the numbers of every layout's members: beams by rising y, then x, of their start."""
    rows = [
        (i, n, _deck_start(layout, row))
        for i, layout in enumerate(layouts)
        for n, row in enumerate(layout.rows)
    ]
    order = {(i, n): place for place, (i, n, _) in enumerate(sorted(rows, key=_by_place), start=1)}
    out, joists, rim, ledger = list[Numbers](), 1, 1, 1
    for i, layout in enumerate(layouts):
        beams = tuple(order[i, n] for n in range(len(layout.rows)))
        hung = {b.place: ledger + k for k, b in enumerate(ledger_bounds(layout))}
        out.append(Numbers(joists, rim, beams, hung))
        joists, rim, ledger = joists + 1, rim + len(rims_of(layout)), ledger + len(hung)
    return tuple(out)


def _by_place(one: tuple[int, int, Point]) -> tuple[float, float, int, int]:
    return round(one[2][1], 6), round(one[2][0], 6), one[0], one[1]


def _deck_start(layout: Layout, row: BeamRow) -> Point:
    return min(
        (layout.region.axes.deck_ft(*row.start_in), layout.region.axes.deck_ft(*row.end_in)),
        key=lambda p: p[::-1],
    )


def ledger_bounds(layout: Layout) -> tuple[Bound, ...]:
    """Return the edges of a layout that joists hang on the house at."""
    return tuple(bound for bound in layout.region.bounds if bound.meets == "ledger")


@dataclass(frozen=True)
class _Making:
    """One layout being made into members."""

    setting: Setting
    layout: Layout
    numbers: Numbers
    bottom_in: float

    def beam(self, row: int) -> str:
        return beam_id(self.setting.level, self.numbers.beams[row], self.layout.rows[row].girder)

    def ledger(self, section: int, low: bool) -> str:
        part = self.layout.region.sections[section]
        return f"{self.setting.level}.ledger-{self.numbers.ledgers[(part.low if low else part.high).place]}"


def _supports(making: _Making, section: int, line: LineLayout) -> tuple[Support, ...]:
    start = line.low.joist_in
    return tuple(
        Support(
            making.ledger(section, rest.low) if rest.row is None else making.beam(rest.row),
            rest.at_in - start,
        )
        for rest in line.rests
    )


def _joist_line(making: _Making, section: int, u_in: float, line: LineLayout) -> JoistLine:
    axes, part = making.layout.region.axes, making.layout.region.sections[section]
    start, end = axes.deck_ft(u_in, line.low.joist_in), axes.deck_ft(u_in, line.high.joist_in)
    supports = _supports(making, section, line)
    longer = JOIST_IN / 2 * (abs(part.low.slope) + abs(part.high.slope))
    away = axes.away
    side = 1.0 if away else -1.0  # looking along the joist, greater u is on its right away from the house
    return JoistLine(
        x_ft=start[0] if away else None,
        y_ft=None if away else start[1],
        x_start_ft=None if away else start[0],
        x_end_ft=None if away else end[0],
        y_start_ft=start[1] if away else None,
        y_end_ft=end[1] if away else None,
        length_in=line.length_in + longer,
        supports=supports,
        spans_in=line.spans_in,
        cantilever_house_in=line.low_cantilever_in,
        cantilever_yard_in=line.high_cantilever_in,
        laps=tuple(Lap(supports[i].member, supports[i].at_in, LAP_IN) for i in line.lap_at),
        start_cut_deg=-side * part.low.cut_deg + 0.0,
        end_cut_deg=side * part.high.cut_deg + 0.0,
    )


def placed_joists(layout: Layout) -> tuple[Placed, ...]:
    """Return the joists of a layout; where there is no room for one, solid blocking stands instead."""
    laid = layout.arrangement
    found = ((s, u, laid.line_at(s, u)) for s, u in joist_places(layout.region, layout.spacing_in))
    return tuple(Placed(s, u, line) for s, u, line in found if line.stands or not laid.blocked(s, u))


def _joists(making: _Making) -> tuple[Joists, tuple[Placed, ...]]:
    setting, layout = making.setting, making.layout
    placed = placed_joists(layout)
    lines = tuple(_joist_line(making, one.section, one.u_in, one.line) for one in placed)
    number = making.numbers.joists
    group = Joists(
        id=f"{setting.level}.joists-{number}",
        mark=f"J{number}",
        size=layout.joist_size,
        plies=1,
        species=setting.species,
        grade=setting.grade,
        spacing_in=layout.spacing_in,
        direction=layout.region.axes.direction,
        count=len(lines),
        lines=lines,
        region_ft=tuple(border.start_ft for border in layout.region.borders),
    )
    return group, placed


def _rims(making: _Making) -> Iterator[Rim]:
    setting = making.setting
    for number, made in enumerate(rims_of(making.layout), start=making.numbers.rim):
        yield Rim(
            id=f"{setting.level}.rim-{number}",
            mark=f"R{number}",
            edge=made.number,
            size=making.layout.joist_size,
            species=setting.species,
            grade=setting.grade,
            start_ft=made.start_ft,
            end_ft=made.end_ft,
            length_in=made.length_in,
            start_cut_deg=made.start_cut_deg,
            end_cut_deg=made.end_cut_deg,
        )


def _place_id(making: _Making, row: int, n: int, at_ft: Point) -> str:
    """The id of a post, or of the footing where the beam sits on its pier."""
    standing = foot(making.bottom_in, making.setting.ground(*at_ft)).standing
    kind = "post" if standing == "post" else "footing"
    return f"{making.setting.level}.{kind}-{making.numbers.beams[row]}-{n}"


def _splices(making: _Making, number: int, row: BeamRow) -> tuple[Splice, ...]:
    board_in = making.setting.boards.beam(making.layout.beam_size)
    plan = making.setting.joints.get(making.beam(number)) or ply_splices(
        row.length_in, row.posts_in, making.layout.beam_plies, board_in
    )
    axes = making.layout.region.axes
    return tuple(
        Splice(ply + 1, _place_id(making, number, i + 1, axes.deck_ft(*row.point(row.posts_in[i]))))
        for ply, cuts in enumerate(plan or ())
        for i in cuts
    )


def _beam(making: _Making, number: int, row: BeamRow, load_plf: float) -> Beam:
    setting, layout, axes = making.setting, making.layout, making.layout.region.axes
    mark = making.numbers.beams[number]
    return Beam(
        id=making.beam(number),
        mark=f"B{mark}",
        size=layout.beam_size,
        plies=layout.beam_plies,
        placement=layout.placement,
        species=setting.species,
        grade=setting.grade,
        start_ft=axes.deck_ft(*row.start_in),
        end_ft=axes.deck_ft(*row.end_in),
        bottom_height_in=making.bottom_in,
        supports_ft=tuple(x / 12 for x in row.posts_in),
        spans_in=row.spans_in,
        overhang_start_in=row.overhangs_in[0],
        overhang_end_in=row.overhangs_in[1],
        splices=_splices(making, number, row),
        line_load_plf=load_plf,
    )


def _stands(making: _Making, found: Shares) -> Iterator[Stand]:
    axes = making.layout.region.axes
    stairs = list(taken(making.layout, making.setting.loads))
    for number, row in enumerate(making.layout.rows):
        whole, broken = row_reactions_lb(row, found.rows[number], making.setting.design_psf)
        on_it = [one for one in stairs if one.row == number]
        spread, most = _stairs_on_posts(row, on_it)
        for n, at_in in enumerate(row.posts_in):
            x_ft, y_ft = axes.deck_ft(*row.point(at_in))
            grade = making.setting.ground(x_ft, y_ft)
            load = whole[n] + spread[n]
            yield Stand(
                making.numbers.beams[number], n + 1, making.beam(number), x_ft, y_ft, grade, load,
                max(load, broken[n] + most[n], 0.0), foot(making.bottom_in, grade),
            )  # fmt: skip


def _stairs_on_posts(row: BeamRow, stairs: Sequence[Taken]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """What stairs bring to each post, lb: on the row whole, and the most they can on the row broken over its posts."""
    if not stairs:
        return (0.0,) * len(row.posts_in), (0.0,) * len(row.posts_in)
    on_it = [one.uniform for one in stairs]
    plf = [Share(12 * one.start_ft, 12 * one.end_ft, one.load_plf) for one in on_it]
    whole, broken = row_reactions_lb(row, plf, 1.0)
    # past the last post a load brings its post more than itself, and lifts the next
    return whole, tuple(max(one, sum(stair.load.load_lb for stair in stairs)) for one in broken)


def stands_of(setting: Setting, layout: Layout, found: Shares) -> tuple[Stand, ...]:
    """Return where the beams of a layout stand, and what its rows bring there of the floor they carry.

    It is what ``build`` has of a level with this one layout.
    """
    making = _Making(setting, layout, numbered([layout])[0], setting.stack(layout).beam_bottom_in)
    return tuple(_stands(making, found))


def build(setting: Setting, layout: Layout, numbers: Numbers) -> Members:
    """Return the members of a layout in its setting.

    Loads are by statics. The load a footing is sized for is the larger of the beam whole and the beam broken
    over its posts, and where a stair hangs on an edge each post of the beam under it is given its whole load,
    the end post of an overhang it stands on what that lever makes of it: all on the safe side and all ours.
    """
    making = _Making(setting, layout, numbers, setting.stack(layout).beam_bottom_in)
    group, placed = _joists(making)
    found = carried(layout, placed)
    beams = tuple(
        _beam(making, n, row, line_load_plf(row, found.rows[n], setting.design_psf))
        for n, row in enumerate(layout.rows)
    )
    stands = tuple(_stands(making, found))
    posts = tuple(post_of(setting.owner, layout.post_size, s) for s in stands if s.on_post)
    lines = tuple(one.line for one in placed)
    return Members(layout, numbers, group, lines, tuple(_rims(making)), beams, stands, posts, found)
