"""What members of a section are, written on them or beside them."""

from __future__ import annotations

from service.contract.report_frame import Beam
from service.drawings.kit.labels import Label, Placing, around
from service.drawings.kit.paper import View
from service.drawings.kit.schedules import lumber
from service.drawings.section.section_cut import Cut, CutLevel
from service.drawings.section.section_ink import at, beam_heights, joist_heights
from service.units.text import feet_inches

_ON_IT_PT = 10.0  # as high as a text


def mark_joists(cut: Cut, view: View, placing: Placing) -> None:
    """Write what joists are on them where there is room."""
    for one in cut.levels:
        if one.joist is None:
            _mark_crossing(one, view, placing)
            continue
        joists, run = one.joist
        low, top = joist_heights(one, joists.size)
        start, end = run.y_start_ft or 0.0, run.y_end_ft or 0.0
        text = f'{joists.mark}  {lumber(joists.size, joists.plies)} at {joists.spacing_in:g}" on centre'
        middles = [at(view, start + share * (end - start), (low + top) / 2) for share in (0.5, 0.35, 0.65)]
        deep = view.pt(top - low)
        rows = (deep / 2 + 8, deep / 2 + 18, -deep / 2 - 14, -deep / 2 - 24, deep / 2 + 28)
        beside = [(x, y + row) for row in rows for x, y in middles]
        places = [*middles, *beside] if deep > _ON_IT_PT else beside
        placing.place(Label(text, tuple(places), bold=True, of=middles[0]))


def _mark_crossing(one: CutLevel, view: View, placing: Placing) -> None:
    """What joists are that the plane cuts."""
    for joists, ys in one.crossing:
        low, top = joist_heights(one, joists.size)
        place = at(view, ys[len(ys) // 2], (low + top) / 2)
        text = f'{joists.mark}  {lumber(joists.size, joists.plies)} at {joists.spacing_in:g}" on centre'
        placing.place(Label(text, around(place, 14, 110), bold=True, of=place))


def mark_members(cut: Cut, view: View, placing: Placing) -> None:
    """Write what beams, ledgers, boards, posts and footings are beside them."""
    for one in cut.levels:
        for beam, met in one.beams:
            low, _ = beam_heights(one, beam)
            place = at(view, met.y_ft, low)
            text = f"{beam.mark}  {lumber(beam.size, beam.plies)}"
            placing.place(Label(text, around(place, 14, 110), bold=True, of=place))
        for beam in _beams_beyond(cut, one):
            low, high = beam_heights(one, beam)
            place = at(view, (beam.start_ft[1] + beam.end_ft[1]) / 2, (low + high) / 2)
            text = f"{beam.mark}  {lumber(beam.size, beam.plies)}, beyond"
            placing.place(Label(text, around(place, 14, 110), bold=True, of=place))
        for ledger, y in one.ledgers:
            place = at(view, y + 0.06, ledger.bottom_height_in)
            placing.place(
                Label(f"{ledger.mark}  {ledger.size} ledger", around(place, 14, 110), bold=True, of=place)
            )
        _mark_decking(one, view, placing)
    for post in cut.posts:
        place = at(view, post.y_ft, (post.top_height_in + post.bottom_height_in) / 2)
        placing.place(Label(f"{post.mark}  {post.size}", around(place, 14, 90), bold=True, of=place))
    for foot in cut.footings:
        place = at(view, foot.y_ft, (foot.grade_height_in + foot.bottom_height_in) / 2)
        placing.place(Label(foot.mark, around(place, 14, 90), 8.0, bold=True, of=place))


def _beams_beyond(cut: Cut, one: CutLevel) -> list[Beam]:
    """The beams along the plane whose posts are shown, each once."""
    shown_here = {post.beam for post in cut.posts}
    return [beam for beam in one.along if beam.id in shown_here]


def _mark_decking(one: CutLevel, view: View, placing: Placing) -> None:
    boards, (start, end) = one.spec.decking, one.floor_ft[-1]
    place = at(view, start + 0.4 * (end - start), one.spec.surface_height_in)
    text = f"{boards.material.replace('_', ' ')} decking, {feet_inches(boards.thickness_in)}"
    placing.place(Label(text, around(place, 14, 80), of=place))
