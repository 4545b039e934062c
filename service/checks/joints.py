"""How members are joined: seats on posts and piers, hangers, uplift ties."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from service.checks.judged import Judged
from service.connections.hangers import choose_hanger
from service.connections.posts import Seat, base_item, seat_on_pier, seat_on_post
from service.connections.uplift import JoistEnd, uplift_tie
from service.contract.report_frame import Post
from service.framing.members import Members
from service.sizing.criteria import Criteria


def _seats(members: Members, criteria: Criteria) -> Iterator[Seat]:
    for beam in members.beams:
        standing = {s.foot.standing for s in members.stands if s.beam == beam.id}
        if "post" in standing:
            yield seat_on_post(criteria, beam.id, members.layout.post_size, beam.size, beam.plies)
        if "saddle" in standing:
            yield seat_on_pier(criteria, beam.id, beam.size, beam.plies)


def seated_posts(members: Members, criteria: Criteria) -> tuple[Post, ...]:
    """Return the posts with the base and cap each stands between."""
    if not members.posts:
        return ()
    layout = members.layout
    cap = seat_on_post(
        criteria, members.beams[0].id, layout.post_size, layout.beam_size, layout.beam_plies
    ).item
    base = base_item(layout.post_size, criteria.coating)
    return tuple(msgspec.structs.replace(post, base=base, cap=cap) for post in members.posts)


def _hangers(members: Members, criteria: Criteria) -> Judged:
    """Joists hang on a ledger, and on a flush beam; the heaviest end is checked."""
    layout = members.layout
    hung = [
        plf
        for _, lines in members.kinds
        for line in lines
        for rest, plf in zip(line.rests, line.reactions_plf(criteria.design_psf), strict=True)
        if rest.hung
    ]
    if not hung:
        return Judged()
    heaviest_lb = max(hung) * layout.spacing_in / 12
    hanger = choose_hanger(criteria, members.joists.id, layout.joist_size, 1, heaviest_lb)
    return Judged((hanger.finding,), (), (hanger.caution,) if hanger.caution else ())


def _ties(members: Members, criteria: Criteria) -> Judged:
    """Each end behind a cantilever is tied down at the support at the bay's other end; the longest of its kind."""
    found = []
    spacing = members.layout.spacing_in
    for names, lines in members.kinds:
        line = max(lines, key=lambda one: one.high_cantilever_in)
        if line.high_cantilever_in > 0:
            near = line.low_cantilever_in / 12 if len(names) == 2 else 0.0
            end = JoistEnd(line.spans_in[-1] / 12, line.high_cantilever_in / 12, near, spacing)
            found.append(uplift_tie(criteria, names[-2], end).finding)
        line = max(lines, key=lambda one: one.low_cantilever_in)
        if line.low_cantilever_in > 0:
            far = line.high_cantilever_in / 12 if len(names) == 2 else 0.0
            end = JoistEnd(line.spans_in[0] / 12, line.low_cantilever_in / 12, far, spacing)
            found.append(uplift_tie(criteria, names[1], end).finding)
    return Judged(tuple(found))


def judge_joints(members: Members, criteria: Criteria) -> Judged:
    """Judge seats, hangers and ties of a frame."""
    seats = Judged(tuple(f for seat in _seats(members, criteria) for f in seat.findings))
    return seats + _hangers(members, criteria) + _ties(members, criteria)
