"""Posts that go down to pads in the ground: how long they then are, and whether they still stand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import msgspec

from service.checks.calculated import post_compression
from service.checks.frame import judge_post
from service.checks.judged import Judged, together
from service.choice.level.heavy import Heavy
from service.choice.level.level_work import LevelWork
from service.contract.report_frame import Post
from service.foundations.demand import Demand
from service.foundations.method import Sized
from service.framing.heights import CAP_SEAT_IN
from service.sizing.criteria import Criteria
from service.takeoff.framing_parts import BURIED_METHODS

JUDGED_AGAIN = ("post_height", "post_compression")


def sunk(works: Sequence[LevelWork], sized: Sequence[Sized]) -> tuple[LevelWork, ...]:
    """Return the levels with every post as long as its footing makes it, and judged so.

    The tables measure a post from the top of its footing (R507.4), and nothing is counted on the soil round it.
    """
    pads = {one.demand.post: one for one in sized if one.footing.method in BURIED_METHODS}
    return tuple(_sunk(work, pads) for work in works) if pads else tuple(works)


def _sunk(work: LevelWork, pads: Mapping[str | None, Sized]) -> LevelWork:
    posts = tuple(_on_pad(post, pads) for post in work.posts)
    again = [post for post in posts if post.id in pads]
    changed = {post.id for post in again}
    kept = tuple(
        one for one in work.judged.findings if not (one.member in changed and one.check in JUDGED_AGAIN)
    )
    own = {post.id for post in work.heavy.posts}
    plies = {beam.id: beam.plies for beam in work.level.beams}
    plies |= {beam.id: beam.plies for stair in work.stairs.stairs for beam in stair.beams}
    judged = together(
        _judged(post, pads[post.id].demand, plies.get(post.beam, 1), work.case.criteria)
        for post in again
        if post.id not in own
    )
    return replace(
        work,
        posts=posts,
        heavy=_heavy(work.heavy, pads),
        judged=Judged(
            (*kept, *judged.findings),
            tuple(dict.fromkeys((*work.judged.reasons, *judged.reasons))),
            tuple(dict.fromkeys((*work.judged.cautions, *judged.cautions))),
        ),
    )


def _on_pad(post: Post, pads: Mapping[str | None, Sized]) -> Post:
    found = pads.get(post.id)
    if found is None:
        return post
    down_in = found.demand.grade_height_in + found.demand.top_above_grade_in - found.footing.top_height_in
    height = post.height_in + down_in
    # It stands on its pad, without the stand-off that a base gives.
    cut_in, bottom_in = height - CAP_SEAT_IN, post.top_height_in - height
    return msgspec.structs.replace(
        post, height_in=height, cut_length_in=cut_in, bottom_height_in=bottom_in, base=None
    )


def _heavy(heavy: Heavy, pads: Mapping[str | None, Sized]) -> Heavy:
    """The frames under objects with their longer posts: they are judged from these."""
    owns = (
        replace(own, frame=replace(own.frame, posts=tuple(_on_pad(post, pads) for post in own.frame.posts)))
        for own in heavy.owns
    )
    return replace(heavy, owns=tuple(owns))


def _judged(post: Post, demand: Demand, plies: int, criteria: Criteria) -> Judged:
    calculated = post_compression(post, demand.sizing_load_lb, criteria)
    return judge_post(post, plies, demand.sizing_load_lb, criteria) + Judged(calculated)
