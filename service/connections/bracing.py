"""Diagonal braces between posts and beams, and the decks that need more than braces."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from service.contract.ids import member
from service.contract.report import Caution, Reason
from service.contract.report_frame import Beam, Brace, Post
from service.rules.lookups import Reading
from service.sizing.criteria import Criteria
from service.units.finding import SLACK, Finding, yes_no
from service.units.working import Step, step, word

Direction = Literal["along_beam", "across_beam"]
BRACED_OVER_IN = 24.0  # DCA 6: each corner post taller than 24 in
BRACE_SIZE = "2x6"  # common practice, no source
LONGEST_LEG_IN = 24.0  # common practice, no source
LEG_TO_HEIGHT = 0.5  # convention of this service: the lower half of a short post stays clear
DIAGONAL_DEG = 45.0
ENGINEERED_SEISMIC = ("D0", "D1", "D2", "E")


@dataclass(frozen=True)
class BracingAsk:
    """The posts and beams of one level. ``freestanding``: nothing holds the deck sideways but itself."""

    level: str
    freestanding: bool
    decking_angle_deg: float
    seismic_design_category: str | None
    posts: tuple[Post, ...]
    beams: tuple[Beam, ...]


@dataclass(frozen=True)
class Bracing:
    """Braces of a level with checks, reasons and cautions."""

    braces: tuple[Brace, ...]
    findings: tuple[Finding, ...]
    reasons: tuple[Reason, ...]
    cautions: tuple[Caution, ...]


def brace_leg_in(post_height_in: float) -> float:
    """Return how far from the corner a 45-degree brace meets post and beam, in.

    Source: 24 in is common practice, no source; at most half the post's height is a convention of this service.

    Args:
        post_height_in: beam bottom to pier top, in.

    >>> brace_leg_in(60), brace_leg_in(30)
    (24.0, 15.0)
    """
    return min(LONGEST_LEG_IN, post_height_in * LEG_TO_HEIGHT)


def brace_length_in(leg_in: float) -> float:
    """Return the length of a 45-degree brace between its long points, in.

    Source: geometry, legs measured to the long points.

    >>> round(brace_length_in(24), 3)
    33.941
    """
    return float(leg_in * 2**0.5)


def _runs_along_x(beam: Beam) -> bool:
    dx, dy = beam.end_ft[0] - beam.start_ft[0], beam.end_ft[1] - beam.start_ft[1]
    return abs(dx) >= abs(dy)


def _across(beam: Beam) -> float:
    axis = 1 if _runs_along_x(beam) else 0
    return (beam.start_ft[axis] + beam.end_ft[axis]) / 2


def _reach(beam: Beam) -> tuple[float, float]:
    axis = 0 if _runs_along_x(beam) else 1
    low, high = sorted((beam.start_ft[axis], beam.end_ft[axis]))
    return low, high


def _beside(beam: Beam, other: Beam) -> bool:
    if _runs_along_x(beam) != _runs_along_x(other):
        return False
    (a, b), (c, d) = _reach(beam), _reach(other)
    return min(b, d) - max(a, c) > SLACK


def corner_beams(beams: Sequence[Beam], freestanding: bool) -> tuple[Beam, ...]:
    """Return the beams whose end posts stand at corners of the deck (places in ft).

    Source: geometry: no other beam lies beside it farther out; where the house does not hold the deck, or the
    beam runs away from the house, the near side counts too.

    Args:
        beams: beams of one level.
        freestanding: whether the near side has corners of its own.
    """

    def outermost(beam: Beam) -> bool:
        places = [_across(other) for other in beams if other is not beam and _beside(beam, other)]
        near_counts = freestanding or not _runs_along_x(beam)
        out = all(place < _across(beam) + SLACK for place in places)
        return out or (near_counts and all(place > _across(beam) - SLACK for place in places))

    return tuple(beam for beam in beams if outermost(beam))


def corner_posts(ask: BracingAsk) -> tuple[tuple[Post, Beam], ...]:
    """Return the end posts of the corner beams, never a centre post (places in ft).

    Source: DCA 6: braces at corner posts, none on centre posts.
    """
    found = []
    for beam in corner_beams(ask.beams, ask.freestanding):
        axis = 0 if _runs_along_x(beam) else 1
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


def _braces(ask: BracingAsk, criteria: Criteria, posts: Sequence[tuple[Post, Beam]]) -> Iterator[Brace]:
    wanted = [(post, beam, way) for post, beam in posts for way in _directions(ask)]
    for number, (post, beam, way) in enumerate(wanted, start=1):
        yield Brace(
            id=member(ask.level, "brace", number),
            post=post.id,
            beam=beam.id,
            direction=way,
            size=BRACE_SIZE,
            species=criteria.species,
            grade=criteria.grade,
            length_in=brace_length_in(brace_leg_in(post.height_in)),
        )


def brace_level(ask: BracingAsk, criteria: Criteria) -> Bracing:
    """Return the braces of a level.

    Source: DCA 6 (corner posts over 24 in, braces across the beam where no ledger holds the deck); the IRC has
    no bracing rule. Free-standing decks on posts over the rulebook's limit, or in seismic category D0 and up,
    need an engineer (convention of this service).

    Args:
        ask: posts and beams, heights in in.
        criteria: rules, guide, lumber.

    Returns:
        Braces with lengths in in, checks, reasons, cautions.
    """
    tall = [(post, beam) for post, beam in corner_posts(ask) if needs_brace(post)]
    by_boards = boards_brace(ask)
    braces = () if by_boards else tuple(_braces(ask, criteria, tall))
    return Bracing(
        braces=braces,
        findings=tuple(_findings(ask, criteria, tall, by_boards)),
        reasons=_reasons(ask, criteria),
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


def _reasons(ask: BracingAsk, criteria: Criteria) -> tuple[Reason, ...]:
    if not ask.freestanding:
        return ()
    limit = criteria.rulebook.setting("freestanding_post_limit_in")
    limit_in = criteria.rulebook.in_force_settings.freestanding_post_limit_in
    reasons = []
    tallest = max(ask.posts, key=lambda post: post.height_in, default=None)
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
