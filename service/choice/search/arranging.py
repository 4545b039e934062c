"""The arrangements of beams that a region can have, each worked out once for all sizes that go with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.choice.level.ask import Ask
from service.choice.level.beam_rows import EndRows, Wish, end_rows, open_groups, rising
from service.choice.level.limits import Limits
from service.choice.level.score import FAILS, PostLoads, line_standing
from service.choice.search.post_rows import OVERHANGS_IN, PostPlans
from service.framing.beam_row import BeamRow
from service.framing.edge_loads import EdgeLoad
from service.framing.layout import Arrangement, Placement
from service.framing.members import LAP_IN
from service.framing.region import Region

Bays = tuple[int, float]  # rows between at most, and how far joists reach, in
Group = tuple[int, ...]
Side = tuple[Group, bool]  # sections, and whether their joists end there or begin


class Arranging:
    """The arrangements of a region, each worked out once: joists and beams of many sizes go with each."""

    def __init__(self, ask: Ask, limits: Limits) -> None:
        self.ask, self.limits = ask, limits
        self.posts = PostPlans(ask)
        self.post_loads = PostLoads(ask)
        self._ends: dict[tuple[Wish, Placement], EndRows | None] = {}
        self._able_ends: dict[tuple[BeamRow, ...], EndRows | None] = {}
        self._failing: dict[tuple[int, float, str, float], frozenset[Side]] = {}
        self._sides: dict[float, list[Side]] = {}
        self._known: dict[tuple[Wish, tuple[int, ...], float, Placement], Arrangement | None] = {}
        self._by_rows: dict[tuple[tuple[BeamRow, ...], float, Placement, float], Arrangement | None] = {}
        self._fitted: dict[tuple[int, float], Arrangement | None] = {}

    def ends(self, wish: Wish, placement: Placement) -> EndRows | None:
        """The rows joists end over, where each can stand on posts at all."""
        key = (wish, placement)
        if key not in self._ends:
            found = end_rows(self.ask.region, wish)
            self._ends[key] = None if found is None else self._if_able(found)
        return self._ends[key]

    def _if_able(self, found: EndRows) -> EndRows | None:
        """Rows that can stand, one object for all wishes they fulfil."""
        if found.rows not in self._able_ends:
            able = rising(found.rows) and all(map(self._able, found.rows))
            self._able_ends[found.rows] = found if able else None
        return self._able_ends[found.rows]

    def _able(self, row: BeamRow) -> bool:
        # sizes come in boards of other lengths: joints are looked at with the size
        boards = (1, row.length_in)
        return any(self.posts.at(boards, row, row.length_in, over) for over in (3.0, 4.0, *OVERHANGS_IN))

    def of(self, wish: Wish, bays: Bays, width: float, placement: Placement) -> Arrangement | None:
        """The arrangement of a wish, with the longest joists there are."""
        ends = self.ends(wish, placement)
        if ends is None:
            return None
        counted = ends.bays(*bays)
        key = (wish, counted, width, placement)
        if key not in self._known:
            rows = ends.with_inner(counted)
            longest_in = self.ask.boards.longest_joist_in
            self._known[key] = self._laid(rows, width, placement, longest_in) if rising(rows) else None
        return self._known[key]

    def _laid(
        self, rows: tuple[BeamRow, ...], width: float, placement: Placement, stock_in: float
    ) -> Arrangement | None:
        key = (rows, width, placement, stock_in)
        if key not in self._by_rows:
            laid = Arrangement(self.ask.region, rows, width, placement, stock_in)
            self._by_rows[key] = laid if self._possible(laid) else None
        return self._by_rows[key]

    def fitted(self, laid: Arrangement, spacing_in: float) -> Arrangement | None:
        """The arrangement less rows that no joist at this spacing rests on; null where a joist is not held.

        Beside an edge nearly along the joists the rim is the end joist, and a beam under it would carry nothing.
        """
        key = (id(laid), spacing_in)
        if key not in self._fitted:
            self._fitted[key] = self._with_used(laid, self.ask.joists_in[spacing_in])
        return self._fitted[key]

    def _with_used(self, laid: Arrangement, joists: Sequence[tuple[int, float]]) -> Arrangement | None:
        if laid.only_line is not None:
            return laid if laid.only_line.stands else None
        lines = [(s, u, laid.line_at(s, u)) for s, u in joists]
        if not all(line.stands or laid.blocked(s, u) for s, u, line in lines):
            return None
        used = {rest.row for _, _, line in lines if line.stands for rest in line.rests}
        rows = tuple(row for number, row in enumerate(laid.rows) if number in used)
        if len(rows) == len(laid.rows):
            return laid
        return self._laid(rows, laid.beam_width_in, laid.placement, laid.stock_in) if rows else None

    def _in_boards(self, laid: Arrangement | None, joist: str) -> Arrangement | None:
        """The arrangement with joists lapped as boards of their size are sold."""
        stock_in = self.ask.boards.joist(joist)
        if (
            laid is None
            or stock_in == laid.stock_in
            or (not laid.lapped and laid.longest_piece_in <= stock_in)
        ):
            return laid
        return self._laid(laid.rows, laid.beam_width_in, laid.placement, stock_in)

    def _possible(self, laid: Arrangement) -> bool:
        lap_in = LAP_IN if laid.lapped else 0.0
        return laid.stands and laid.longest_piece_in + lap_in <= laid.stock_in

    def settled(
        self, wish: Wish, inner: int, width: float, placement: Placement, joist: str, spacing: float
    ) -> Arrangement | None:
        """The arrangement wished; where some groups can't have the cantilever wished, they get none."""
        return self._in_boards(self._settled(wish, inner, width, placement, joist, spacing), joist)

    def _settled(
        self, wish: Wish, inner: int, width: float, placement: Placement, joist: str, spacing: float
    ) -> Arrangement | None:
        ask, several = self.ask, len(self.ask.region.sections) > 1
        if not several:
            return self.of(wish, (inner, 0.0), width, placement)
        bays = (inner, self.limits.joist_span(joist, spacing, 0.0).value_in or 0.0 if inner else 0.0)
        if ask.loads:
            wish = replace(wish, plain=_under_stairs(ask, wish))
        laid = self.of(wish, bays, width, placement)
        if laid is None:
            return None
        failing = self._failing_in(laid, wish.merge_in, joist, spacing)
        if failing and len(failing) < len(self._groups(wish.merge_in)):
            return self.of(replace(wish, plain=wish.plain | failing), bays, width, placement)
        return laid

    def _groups(self, merge_in: float) -> list[Side]:
        if merge_in not in self._sides:
            self._sides[merge_in] = _groups(self.ask.region, merge_in)
        return self._sides[merge_in]

    def _failing_in(
        self, laid: Arrangement, merge_in: float, joist: str, spacing_in: float
    ) -> frozenset[Side]:
        """The groups of joist ends whose cantilever does not stand."""
        key = (id(laid), merge_in, joist, spacing_in)
        if key not in self._failing:
            groups = self._groups(merge_in)
            self._failing[key] = _failing_groups(laid, groups, joist, spacing_in, self.limits)
        return self._failing[key]


def _groups(region: Region, merge_in: float) -> list[Side]:
    return [(g, high) for high in (False, True) for g in open_groups(region, high, merge_in)]


def _under_stairs(ask: Ask, wish: Wish) -> frozenset[Side]:
    """The groups a stair hangs on, where there are others: their beam stands under the edge."""
    groups = _groups(ask.region, wish.merge_in)
    if len(groups) < 2:
        return frozenset()
    return frozenset(one for one in groups for load in ask.loads if _hangs_on(ask.region, *one, load))


def _hangs_on(region: Region, group: Group, high: bool, load: EdgeLoad) -> bool:
    parts = (region.sections[n] for n in group)
    return any((part.high if high else part.low).number == load.number for part in parts)


def _failing_groups(
    laid: Arrangement, groups: Sequence[Side], joist: str, spacing_in: float, limits: Limits
) -> frozenset[Side]:
    reaching = ((n, line) for n, _, line in laid.lines if line.longest_cantilever_in > 0)
    failing = [
        (n, line) for n, line in reaching if line_standing(line, joist, spacing_in, limits).level >= FAILS
    ]
    if not failing:
        return frozenset()
    found = set[Side]()
    for group, high in groups:
        over = [
            line.high_cantilever_in if high else line.low_cantilever_in for n, line in failing if n in group
        ]
        if any(reach > 0 for reach in over):
            found.add((group, high))
    return frozenset(found)
