"""Whether braces and their bolts hold a nominal sideways load, and how long their legs have to be for it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import msgspec

from service.connections.brace_bolts import (
    LEAST_BOLTS,
    BraceEnds,
    bolts_for,
    brace_ends,
    brace_hardware,
    weaker_bolt,
)
from service.contract.report_frame import Beam, Post
from service.sizing.calculated_braces import Knee, brace_force_lb
from service.sizing.calculated_posts import post_capacity
from service.sizing.criteria import Criteria
from service.timber.refusal import NoRule
from service.timber.values import TimberData
from service.units.citation import Citation, common_practice
from service.units.finding import Finding, at_most, yes_no
from service.units.working import Step, step, word

Direction = Literal["along_beam", "across_beam"]
# 2x6 is common practice, no source; a wider one only has room for more bolts.
BRACE_SIZES: Final = ("2x6", "2x8")
# 24 in is common practice, no source; a builder lengthens a leg where bolts or post ask for it.
LEGS_IN: Final = (24.0, 30.0, 36.0, 42.0, 48.0)
LEG_TO_HEIGHT: Final = 0.5  # convention of this service: the lower half of a post stays clear
PAIR: Final = "a pair of braces at each corner post, one on either face, with bolts through both"
DESIGNED: Final = "bracing designed by an engineer"


@dataclass(frozen=True)
class BracedRow:
    """A corner beam on corner posts: those to be braced, how many share its sideways load, and that load, lb."""

    beam: Beam
    posts: tuple[Post, ...]
    sharing: int
    gravity_lb: float
    ratio: float

    @property
    def shear_lb(self) -> float:
        """Sideways load of one corner post, lb."""
        return self.gravity_lb * self.ratio / self.sharing

    @property
    def tallest(self) -> Post:
        """The tallest post to be braced: with the most force for its leg."""
        return max(self.posts, key=lambda post: post.height_in)

    def knee(self, post: Post, longest_in: float) -> Knee:
        """Return a post with its brace, in and lb."""
        return Knee(post.height_in, brace_leg_in(post.height_in, longest_in), self.shear_lb)


@dataclass(frozen=True)
class BraceTry:
    """What the braces of a deck may be: nominal size and the leg where posts are tall enough, in."""

    size: str
    leg_in: float


@dataclass(frozen=True)
class RowBraced:
    """The hardware of each brace of a row, one code a piece, and the checks of its braces."""

    hardware: tuple[str, ...]
    findings: tuple[Finding, ...]


def brace_leg_in(post_height_in: float, longest_in: float = LEGS_IN[0]) -> float:
    """Return how far from the corner a 45-degree brace meets post and beam, in.

    Source: 24 in is common practice, no source; at most half the post's height is a convention of this service.

    Args:
        post_height_in: beam bottom to pier top, in.
        longest_in: the leg of the deck's braces where posts are tall enough, in.

    >>> brace_leg_in(60), brace_leg_in(30), brace_leg_in(90, 36.0)
    (24.0, 15.0, 36.0)
    """
    return min(longest_in, post_height_in * LEG_TO_HEIGHT)


def brace_length_in(leg_in: float) -> float:
    """Return the length of a 45-degree brace between its long points, in.

    Source: geometry, legs measured to the long points.

    >>> round(brace_length_in(24), 3)
    33.941
    """
    return float(leg_in * 2**0.5)


def legs_in(tallest_in: float, room_in: float = math.inf) -> tuple[float, ...]:
    """Return the legs a builder would try under posts this tall, shortest first, in.

    Source: common practice, no source; half the height at most, convention of this service.

    Args:
        tallest_in: beam bottom to pier top of the tallest braced post, in.
        room_in: the longest leg there is room for beside the next post, in.

    >>> legs_in(30), legs_in(66), legs_in(120)
    ((15.0,), (24.0, 30.0, 33.0), (24.0, 30.0, 36.0, 42.0, 48.0))
    >>> legs_in(66, 17)
    (17,)
    """
    return tuple(dict.fromkeys(min(room_in, brace_leg_in(tallest_in, leg)) for leg in LEGS_IN))


def brace_tries(tallest_in: float, room_in: float = math.inf) -> tuple[BraceTry, ...]:
    """Return the braces to try, as a builder would: longer legs first, then a wider board. In in.

    Source: common practice, no source.

    Args:
        tallest_in: beam bottom to pier top of the tallest braced post, in.
        room_in: the longest leg there is room for, in.

    >>> [(one.size, one.leg_in) for one in brace_tries(52)]
    [('2x6', 24.0), ('2x6', 26.0), ('2x8', 24.0), ('2x8', 26.0)]
    """
    return tuple(BraceTry(size, leg) for size in BRACE_SIZES for leg in legs_in(tallest_in, room_in))


def beam_gravity_lb(beam: Beam) -> float:
    """Return the design gravity load a beam carries, lb.

    Source: statics, line load times length; loads of stairs are left out.

    >>> from types import SimpleNamespace
    >>> beam = SimpleNamespace(line_load_plf=300.0, spans_in=(84, 84), overhang_start_in=12, overhang_end_in=12)
    >>> beam_gravity_lb(beam)
    4800.0
    """
    return beam.line_load_plf * (sum(beam.spans_in) + beam.overhang_start_in + beam.overhang_end_in) / 12


def braced_rows(
    corners: Sequence[tuple[Post, Beam]],
    braced: Sequence[Post],
    outer: Sequence[Beam],
    beams: Sequence[Beam],
    ratio: float,
) -> tuple[BracedRow, ...]:
    """Return the rows with braces and their sideways load, lb.

    Source: nominal load common practice, no source; inner beams, never braced, hand theirs to the corner beams in
    equal parts, and the two corner posts of a beam share (convention of this service). The house takes what the
    ledger carries, and no more.

    Args:
        corners: corner posts with their beams.
        braced: those to be braced.
        outer: corner beams, on posts or not.
        beams: all beams of the level.
        ratio: sideways load as a share of the design gravity load.
    """
    inner_lb = sum(beam_gravity_lb(beam) for beam in beams if beam not in outer)
    rows = []
    for beam in outer:
        tall = tuple(post for post, under in corners if under == beam and post in braced)
        if tall:
            sharing = min(2, len(beam.supports_ft))
            load_lb = beam_gravity_lb(beam) + inner_lb / len(outer)
            rows.append(BracedRow(beam, tall, sharing, load_lb, ratio))
    return tuple(rows)


def load_citation(ratio: float) -> Citation:
    """Return what the sideways load is cited by; a ratio, no unit.

    Source: common practice, no source; the figure is a setting of the rulebook.

    >>> load_citation(0.05).status
    'common_practice'
    """
    return common_practice(
        f"nominal sideways load of {ratio:.3g} of the design gravity load; strength by NDS 2018, CD 1.0, wet"
    )


def force_steps(row: BracedRow, knee: Knee) -> tuple[Step, ...]:
    """Return the working of the force in a brace, in and lb.

    Source: as `braced_rows` and `brace_force_lb`.

    Args:
        row: the row.
        knee: post and brace.
    """
    return (
        step("W", row.gravity_lb, "lb", "design load of the beam and its share of beams without braces"),
        step(
            "r", row.ratio, "ratio", "nominal sideways load, common practice: setting nominal_lateral_ratio"
        ),
        step("n", row.sharing, None, "corner posts of the beam"),
        step("V", row.shear_lb, "lb", "W r / n, at each corner post"),
        step("h", knee.height_in, "in", "beam bottom to pier top"),
        step("b", knee.leg_in, "in", "leg of the brace"),
        step("F", brace_force_lb(knee), "lb", "V h / (b cos 45), post pinned at its foot"),
    )


def brace_row(
    criteria: Criteria, row: BracedRow, direction: Direction, tried: BraceTry, member: str
) -> RowBraced:
    """Return the bolts of a row's braces in one direction and whether brace and bolts hold, lb.

    Source: NDS 3.7 (compression, weak axis) and 12.3 (bolts) under a nominal sideways load (common practice).

    Args:
        criteria: lumber, coating and design values.
        row: the row and its load.
        direction: along or across the beam.
        tried: size and leg of the deck's braces, in.
        member: id of the brace at the tallest post, which stands for the others.
    """
    ends = brace_ends(tried.size, row.tallest.size, row.beam, direction)
    if isinstance(ends, NoRule):
        return RowBraced((), _refused(member, row, ends))
    if criteria.timber is None:
        return RowBraced(brace_hardware(ends, LEAST_BOLTS, criteria.coating), ())
    return _judged(criteria, criteria.timber, row, ends, tried.leg_in, member)


def _judged(
    criteria: Criteria, data: TimberData, row: BracedRow, ends: BraceEnds, longest_in: float, member: str
) -> RowBraced:
    knee = row.knee(row.tallest, longest_in)
    force, cited = brace_force_lb(knee), load_citation(row.ratio)
    column = post_capacity(data, criteria.species, ends.size, brace_length_in(knee.leg_in))
    bolt = weaker_bolt(data, criteria.species, ends)
    if isinstance(column, NoRule):
        return RowBraced((), _refused(member, row, column))
    if isinstance(bolt, NoRule):
        return RowBraced((), _refused(member, row, bolt))
    bolts = bolts_for(force, bolt.value, ends)
    steps = force_steps(row, knee)
    joint = (
        step("D", ends.diameter_in, "in", "bolt, four diameters from either edge of the post"),
        *bolt.steps,
        step("bolts", bolts, None, "at each end, none in a row along the force: Cg 1.0"),
    )
    found = (
        at_most(member, "brace_axial", "calculated", force, column.value, "lb", cited, (*steps, *column.steps)),
        at_most(
            member, "brace_connection", "calculated", force, bolts * bolt.value, "lb", cited, (*steps, *joint)
        ),
    )  # fmt: skip
    return RowBraced(brace_hardware(ends, bolts, criteria.coating), tuple(_advised(one) for one in found))


def _advised(finding: Finding) -> Finding:
    if finding.passes:
        return finding
    doubled = finding.ratio is not None and finding.ratio <= 2
    return msgspec.structs.replace(finding, would_pass=PAIR if doubled else DESIGNED)


def _refused(member: str, row: BracedRow, why: NoRule) -> tuple[Finding, ...]:
    cited, because = load_citation(row.ratio), (word("refused", why.why, "NDS 2018"),)
    return tuple(
        _advised(yes_no(member, check, "calculated", False, cited, because))
        for check in ("brace_axial", "brace_connection")
    )
