"""Sideways movement of a free-standing deck: its corner posts bent below their braces."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import msgspec

from service.connections.brace_strength import DESIGNED, BracedRow, force_steps, legs_in, load_citation
from service.contract.report_frame import Post
from service.sizing.calculated_braces import Knee, sway_ratio
from service.sizing.calculated_result import Allowable
from service.sizing.criteria import Criteria
from service.timber.refusal import NoRule
from service.timber.values import TimberData
from service.units.finding import Finding, at_most, yes_no
from service.units.working import word

SQUARE_POSTS: Final = ("4x4", "6x6", "8x8")


def _used(
    data: TimberData, species: str, size: str, row: BracedRow, post: Post, longest_in: float
) -> tuple[Knee, Allowable | NoRule]:
    knee = row.knee(post, longest_in)
    # The brace stands on the post with as much as it pushes sideways: it leans at 45 degrees.
    pushed_lb = knee.shear_lb * knee.height_in / knee.leg_in
    return knee, sway_ratio(data, species, size, knee, post.load_lb + pushed_lb)


def _stands(rows: Sequence[BracedRow]) -> list[tuple[BracedRow, Post]]:
    return [(row, post) for row in rows for post in row.posts]


def judge_sway(criteria: Criteria, rows: Sequence[BracedRow], longest_in: float) -> tuple[Finding, ...]:
    """Return the check of the corner post most used by load and sideways bending together, a ratio.

    Source: NDS 3.9.2 under a nominal sideways load (common practice, no source), the same along and across the
    beam: the row's load comes from either side.

    Args:
        criteria: lumber and design values.
        rows: rows of a free-standing deck.
        longest_in: leg of the deck's braces, in.

    Returns:
        One check with the drift in its working, or none without design values or braced posts.
    """
    data = criteria.timber
    if data is None or not rows:
        return ()
    found = [
        (row, post, *_used(data, criteria.species, post.size, row, post, longest_in))
        for row, post in _stands(rows)
    ]
    row, post, knee, used = max(found, key=lambda one: _rank(one[3]))
    cited = load_citation(row.ratio)
    if isinstance(used, NoRule):
        because = (word("refused", used.why, "NDS 2018"),)
        finding = yes_no(post.id, "sway", "calculated", False, cited, because)
    else:
        steps = (*force_steps(row, knee), *used.steps)
        finding = at_most(post.id, "sway", "calculated", used.value, 1.0, "ratio", cited, steps)
    return (finding if finding.passes else _advised(finding, criteria, data, rows),)


def _rank(used: Allowable | NoRule) -> float:
    return float("inf") if isinstance(used, NoRule) else used.value


def _advised(finding: Finding, criteria: Criteria, data: TimberData, rows: Sequence[BracedRow]) -> Finding:
    return msgspec.structs.replace(finding, would_pass=post_that_stands(criteria, data, rows) or DESIGNED)


def post_that_stands(criteria: Criteria, data: TimberData, rows: Sequence[BracedRow]) -> str | None:
    """Return the smallest square posts that would not be overused sideways, with their legs in in, or None.

    Source: as `judge_sway`.

    Args:
        criteria: lumber.
        data: design values and factors.
        rows: rows of a free-standing deck.
    """
    stands = _stands(rows)
    tallest = max(post.height_in for _, post in stands)
    for size in SQUARE_POSTS:
        for leg in legs_in(tallest):
            used = [_used(data, criteria.species, size, row, post, leg)[1] for row, post in stands]
            if max(_rank(one) for one in used) <= 1:
                return f"{size} posts with braces that meet them {leg:g} in down"
    return None
