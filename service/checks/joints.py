"""How members are joined: seats on posts and piers, hangers, uplift ties."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from service.checks.judged import Judged
from service.connections.hangers import choose_hanger
from service.connections.posts import Seat, base_item, seat_on_pier, seat_on_post
from service.connections.uplift import JoistEnd, uplift_tie
from service.contract.report_frame import Post
from service.framing.layout import Layout
from service.framing.members import Members
from service.framing.statics import joist_reactions_plf
from service.sizing.criteria import Criteria


def _seats(layout: Layout, members: Members, criteria: Criteria) -> Iterator[Seat]:
    for number, beam in enumerate(members.beams, start=1):
        standing = {s.foot.standing for s in members.stands if s.beam_number == number}
        if "post" in standing:
            yield seat_on_post(criteria, beam.id, layout.post_size, beam.size, beam.plies)
        if "saddle" in standing:
            yield seat_on_pier(criteria, beam.id, beam.size, beam.plies)


def seated_posts(layout: Layout, members: Members, criteria: Criteria) -> tuple[Post, ...]:
    """Return the posts with the base and cap each stands between."""
    if not members.posts:
        return ()
    cap = seat_on_post(
        criteria, members.beams[0].id, layout.post_size, layout.beam_size, layout.beam_plies
    ).item
    base = base_item(layout.post_size, criteria.coating)
    return tuple(msgspec.structs.replace(post, base=base, cap=cap) for post in members.posts)


def _hangers(layout: Layout, members: Members, criteria: Criteria) -> Judged:
    """Joists hang on a ledger, and on a flush beam; the heaviest end is checked."""
    reactions = joist_reactions_plf(layout, criteria.design_psf)
    hung = list(reactions) if layout.placement == "flush" else list(reactions[: 1 if layout.attached else 0])
    if not hung:
        return Judged()
    heaviest_lb = max(hung) * layout.spacing_in / 12
    hanger = choose_hanger(criteria, members.joists.id, layout.joist_size, 1, heaviest_lb)
    return Judged((hanger.finding,), (), (hanger.caution,) if hanger.caution else ())


def _ties(layout: Layout, members: Members, criteria: Criteria) -> Judged:
    """Each end behind a cantilever is tied down at the support at the bay's other end."""
    house, yard = layout.house_cantilever_in / 12, layout.yard_cantilever_in / 12
    supports = [support.member for support in members.joists.lines[0].supports]
    found = []
    if yard > 0:
        back = layout.joist_spans_in[-1] / 12
        end = JoistEnd(back, yard, house if len(supports) == 2 else 0.0, layout.spacing_in)
        found.append(uplift_tie(criteria, supports[-2], end).finding)
    if house > 0:
        back = layout.joist_spans_in[0] / 12
        end = JoistEnd(back, house, yard if len(supports) == 2 else 0.0, layout.spacing_in)
        found.append(uplift_tie(criteria, supports[1], end).finding)
    return Judged(tuple(found))


def judge_joints(layout: Layout, members: Members, criteria: Criteria) -> Judged:
    """Judge seats, hangers and ties of a frame."""
    seats = Judged(tuple(f for seat in _seats(layout, members, criteria) for f in seat.findings))
    return seats + _hangers(layout, members, criteria) + _ties(layout, members, criteria)
