"""Diagonal braces between posts and beams, and the decks that need more than braces."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from service.connections.brace_places import across_ft, beside, brace_place, runs_along_x
from service.connections.brace_strength import (
    BracedRow,
    BraceTry,
    Direction,
    RowBraced,
    brace_leg_in,
    brace_length_in,
    brace_row,
    brace_tries,
    braced_rows,
)
from service.connections.sway import judge_sway
from service.contract.ids import member
from service.contract.report import Caution, Reason
from service.contract.report_frame import Beam, Brace, Post
from service.rules.lookups import Reading
from service.sizing.criteria import Criteria
from service.units.finding import SLACK, Finding, yes_no
from service.units.working import Step, step, word

BRACED_OVER_IN: Final = 24.0  # DCA 6: each corner post taller than 24 in
DIAGONAL_DEG: Final = 45.0
ENGINEERED_SEISMIC: Final = ("D0", "D1", "D2", "E")


@dataclass(frozen=True)
class BracingAsk:
    """The posts and beams of one level. ``freestanding``: nothing holds the deck sideways but itself.

    ``room_in`` is the longest leg a brace has room for beside its neighbours, ``joist_bottom_in`` the bottom of the
    joists above the datum; null where they sit on the beams.
    """

    level: str
    freestanding: bool
    decking_angle_deg: float
    seismic_design_category: str | None
    posts: tuple[Post, ...]
    beams: tuple[Beam, ...]
    room_in: float = math.inf
    joist_bottom_in: float | None = None


@dataclass(frozen=True)
class Bracing:
    """Braces of a level with checks, reasons and cautions."""

    braces: tuple[Brace, ...]
    findings: tuple[Finding, ...]
    reasons: tuple[Reason, ...]
    cautions: tuple[Caution, ...]


def corner_beams(beams: Sequence[Beam], freestanding: bool) -> tuple[Beam, ...]:
    """Return the beams whose end posts stand at corners of the deck (places in ft).

    Source: geometry: no other beam lies beside it farther out; where the house does not hold the deck, or the
    beam runs away from the house, the near side counts too.

    Args:
        beams: beams of one level.
        freestanding: whether the near side has corners of its own.
    """

    def outermost(beam: Beam) -> bool:
        places = [across_ft(other) for other in beams if other is not beam and beside(beam, other)]
        near_counts = freestanding or not runs_along_x(beam)
        out = all(place < across_ft(beam) + SLACK for place in places)
        return out or (near_counts and all(place > across_ft(beam) - SLACK for place in places))

    return tuple(beam for beam in beams if outermost(beam))


def corner_posts(ask: BracingAsk) -> tuple[tuple[Post, Beam], ...]:
    """Return the end posts of the corner beams, never a centre post (places in ft).

    Source: DCA 6: braces at corner posts, none on centre posts.
    """
    found = []
    for beam in corner_beams(ask.beams, ask.freestanding):
        axis = 0 if runs_along_x(beam) else 1
        on_beam = [post for post in ask.posts if post.beam == beam.id]
        on_beam.sort(key=lambda post: (post.x_ft, post.y_ft)[axis])
        found += [(post, beam) for post in dict.fromkeys(on_beam[:1] + on_beam[-1:])]
    return tuple(found)


def needs_brace(post: Post) -> bool:
    """Return whether a corner post is over 24 in high.

    Source: DCA 6, brace rule; height from beam bottom to pier top, in.
    """
    return post.height_in > BRACED_OVER_IN + SLACK


def boards_brace(ask: BracingAsk) -> bool:
    """Return whether 45-degree boards stand in for braces: on an attached deck only (angle in deg).

    Source: DCA 6, from memory.
    """
    return not ask.freestanding and abs(ask.decking_angle_deg - DIAGONAL_DEG) < SLACK


def _directions(ask: BracingAsk) -> tuple[Direction, ...]:
    return ("along_beam", "across_beam") if ask.freestanding else ("along_beam",)


Placed = tuple[str, Post, Beam, Direction]


def _placed(ask: BracingAsk, posts: Sequence[tuple[Post, Beam]]) -> tuple[Placed, ...]:
    """Every brace by its id, post, beam and direction."""
    wanted = [(post, beam, way) for post, beam in posts for way in _directions(ask)]
    return tuple((member(ask.level, "brace", n), *one) for n, one in enumerate(wanted, start=1))


@dataclass(frozen=True)
class _Braced:
    """One try at braces: the hardware of each row and direction, and the checks of braces and posts."""

    tried: BraceTry
    rows: tuple[tuple[str, Direction, RowBraced], ...]
    sway: tuple[Finding, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        return (*(one for _, _, row in self.rows for one in row.findings), *self.sway)

    @property
    def failing(self) -> tuple[int, float]:
        """How many checks fail, and the worst of all ratios."""
        return (
            sum(not one.passes for one in self.findings),
            max((one.ratio or 0.0 for one in self.findings), default=0.0),
        )

    def hardware(self, beam: Beam, direction: Direction) -> tuple[str, ...]:
        return next(row.hardware for id_, way, row in self.rows if (id_, way) == (beam.id, direction))


def _with(
    ask: BracingAsk, criteria: Criteria, rows: Sequence[BracedRow], placed: Sequence[Placed], tried: BraceTry
) -> _Braced:
    done = []
    for row in rows:
        for way in _directions(ask):
            stands_for = next(id_ for id_, post, _, to in placed if (post, to) == (row.tallest, way))
            done.append((row.beam.id, way, brace_row(criteria, row, way, tried, stands_for)))
    sway = judge_sway(criteria, rows, tried.leg_in) if ask.freestanding else ()
    return _Braced(tried, tuple(done), sway)


def _strong_enough(
    ask: BracingAsk, criteria: Criteria, tall: Sequence[tuple[Post, Beam]], placed: Sequence[Placed]
) -> _Braced:
    """The first try at which braces, bolts and posts all hold; the best of them where none does."""
    ratio = criteria.rulebook.in_force_settings.nominal_lateral_ratio
    outer = corner_beams(ask.beams, ask.freestanding)
    rows = braced_rows(corner_posts(ask), [post for post, _ in tall], outer, ask.beams, ratio)
    tries = brace_tries(max((row.tallest.height_in for row in rows), default=0.0), ask.room_in)
    best: _Braced | None = None
    for tried in tries:
        now = _with(ask, criteria, rows, placed, tried)
        if not now.failing[0]:
            return now
        best = now if best is None or now.failing < best.failing else best
    return best or _Braced(tries[0], (), ())


def _braces(
    ask: BracingAsk, criteria: Criteria, placed: Sequence[Placed], strong: _Braced
) -> Iterator[Brace]:
    for id_, post, beam, way in placed:
        leg = brace_leg_in(post.height_in, strong.tried.leg_in)
        place = brace_place(post, beam, ask.beams, way, leg, ask.joist_bottom_in)
        yield Brace(
            id=id_,
            post=post.id,
            beam=beam.id,
            direction=way,
            size=strong.tried.size,
            species=criteria.species,
            grade=criteria.grade,
            length_in=brace_length_in(leg),
            hardware=strong.hardware(beam, way),
            start_ft=place.start_ft,
            end_ft=place.end_ft,
            low_height_in=place.low_height_in,
            high_height_in=place.high_height_in,
        )


def brace_level(ask: BracingAsk, criteria: Criteria) -> Bracing:
    """Return the braces of a level.

    Source: DCA 6 (corner posts over 24 in, braces across the beam where no ledger holds the deck); the IRC has
    no bracing rule. Free-standing decks on posts over the rulebook's limit, or in seismic category D0 and up,
    need an engineer (convention of this service). Braces, bolts and, standing free, posts are checked by NDS under
    a nominal sideways load (common practice); legs are lengthened until they hold.

    Args:
        ask: posts and beams, heights in in.
        criteria: rules, guide, lumber.

    Returns:
        Braces with lengths in in, checks, reasons, cautions.
    """
    tall = [(post, beam) for post, beam in corner_posts(ask) if needs_brace(post)]
    by_boards = boards_brace(ask)
    placed = () if by_boards else _placed(ask, tall)
    strong = _strong_enough(ask, criteria, () if by_boards else tall, placed)
    return Bracing(
        braces=tuple(_braces(ask, criteria, placed, strong)),
        findings=(*_findings(ask, criteria, tall, by_boards), *strong.findings),
        reasons=_reasons(ask, criteria, strong.sway),
        cautions=(bracing_caution(by_boards),) if tall else (),
    )


def _findings(
    ask: BracingAsk, criteria: Criteria, tall: Sequence[tuple[Post, Beam]], by_boards: bool
) -> Iterator[Finding]:
    along = criteria.guide.limit("guide_brace_along_beam")
    across = criteria.guide.limit("guide_brace_across_beam")
    for post, _ in tall:
        yield _finding(post, along, "45-degree boards" if by_boards else "brace along the beam")
        if ask.freestanding:
            yield _finding(post, across, "brace across the beam")


def _finding(post: Post, rule: Reading, provided: str) -> Finding:
    steps: tuple[Step, ...] = (
        step("post_height", post.height_in, "in", "beam bottom to pier top"),
        step("braced_over", BRACED_OVER_IN, "in", "guide"),
        word("provided", provided, "this design"),
    )
    return yes_no(post.id, "brace_required", "rule", True, rule.citation, steps)


def _reasons(ask: BracingAsk, criteria: Criteria, sway: Sequence[Finding]) -> tuple[Reason, ...]:
    if not ask.freestanding:
        return ()
    limit = criteria.rulebook.setting("freestanding_post_limit_in")
    limit_in = criteria.rulebook.in_force_settings.freestanding_post_limit_in
    reasons = []
    judged = {finding.member for finding in sway}
    # Of posts as tall, the one whose sway is checked: the reason speaks for that check too.
    tallest = max(ask.posts, key=lambda post: (post.height_in, post.id in judged), default=None)
    if tallest and tallest.height_in > limit_in + SLACK:
        text = f"A post of a free-standing deck is {tallest.height_in:g} in high, over {limit_in:g} in"
        reasons.append(
            Reason(code="tall_freestanding", text=text, member=tallest.id, citation=limit.citation)
        )
    if ask.seismic_design_category in ENGINEERED_SEISMIC:
        text = f"A free-standing deck in seismic design category {ask.seismic_design_category}"
        reasons.append(Reason(code="wind_or_seismic_beyond_range", text=text))
    return tuple(reasons)


def bracing_caution(by_boards: bool) -> Caution:
    """Return the caution on sway of a deck on posts over 24 in.

    Source: DCA 6, brace rule.
    """
    how = "the 45-degree boards hold it" if by_boards else "braces at the corner posts hold it"
    return Caution(
        code="bracing_needed",
        text=f"Corner posts are over 24 in high: {how}; the code itself has no bracing rule",
        action="Keep the braces, bolt them at both ends, and put none on centre posts"
        if not by_boards
        else "Fasten every board to every joist; with boards laid square, braces would be needed",
    )
