"""What heavy objects mean for the verdict, and what to look out for, in words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

from service.checks.heavy import judge_own
from service.checks.judged import Judged, caution, reason, together
from service.choice.level.heavy import FULL, Heavy, Own, Refused
from service.connections.bracing import BRACED_OVER_IN
from service.contract.report import Caution, Reason
from service.contract.report_frame import Footing
from service.contract.spec import HeavyObjectSpec
from service.foundations.method import Sized
from service.framing.heavy import CLEAR_OF_HOUSE_IN, LEAST_APART_IN, Footprint
from service.framing.heavy_statics import reactions
from service.framing.sides import Outline
from service.sizing.criteria import Criteria
from service.units.citation import own_convention

LIFTS_PLF = -1.0  # convention of this service: less is not worth a word
NEAR_HOUSE_IN = 24.0  # convention of this service: nearer, the first beam can't stand under the edge
STEP_ON_WITHIN_IN = 36.0  # from memory: what one can step on this near an edge counts as the walking surface
LOADS = own_convention("load of a heavy object on its footprint")


def judge_heavy(heavy: Heavy, outline: Outline, criteria: Criteria, sized: Sequence[Sized]) -> Judged:
    """Judge the frames under heavy objects; always an engineer's."""
    checks = together(judge_own(own.frame, criteria) for own in heavy.owns)
    reasons = [_refused(one) for one in heavy.refused]
    cautions: list[Caution] = []
    for own in heavy.owns:
        reasons += _reasons(own, criteria)
        if criteria.ground.house_present:
            cautions += _near_house(own, sized)
    if heavy.owns or heavy.refused:
        cautions.append(NOT_IN_ORDER)
    cautions += [said for thing, covers in heavy.things for said in _rim(thing, covers, outline)]
    reasons += _crowded(heavy)
    return checks + Judged((), tuple(reasons), (*cautions, *_touching(heavy, [one.footing for one in sized])))


NOT_IN_ORDER = caution(
    "heavy_object_not_in_order",
    "A pad to level it, wiring, water, gas and a hatch to reach its works are not in the order.",
    "Take them from the maker's instructions; the pumps of a tub must stay within reach.",
)


def _named(thing: HeavyObjectSpec) -> str:
    people = f" with {thing.people} people" if thing.people else ""
    return f"{thing.kind.replace('_', ' ').capitalize()} of {thing.filled_weight_lb:g} lb{people}"


def _refused(one: Refused) -> Reason:
    text = f"{_named(one.thing)}: {one.text}. An engineer has to look at it."
    return reason("heavy_object", text, one.footprint.member, LOADS)


def _main(own: Own) -> str:
    load, frame = own.frame.rows.load, own.frame
    tall = any(post.height_in > BRACED_OVER_IN for post in frame.posts)
    sway = " Sway of its posts is not calculated." if tall else ""
    held = " The deck's own ledger and beams carry no more than without it." if own.over <= FULL else ""
    return (
        f"{_named(own.thing)}: {load.total_psf:.4g} psf is assumed on its footprint ({load.object_psf:.4g} object, "
        f"{load.dead_psf:g} deck, the greater of {load.people_psf:.4g} for people at 200 lb each and "
        f"{load.variable_psf:g} live or snow; never under 100). {len(frame.beams)} beams of its own, from "
        f"{frame.beams[0].id} on, stand on {len(frame.stands)} footings under it; all of that is calculated, by no "
        f"table, and an engineer has to confirm it.{held}{sway}"
    )


def _reasons(own: Own, criteria: Criteria) -> Iterator[Reason]:
    covers = own.frame.footprint
    yield reason("heavy_object", _main(own), covers.member, LOADS)
    for text in _further(own):
        yield reason("heavy_object", text, covers.member)
    yield from _on_the_deck(own, criteria)


def _further(own: Own) -> Iterator[str]:
    rows, covers = own.frame.rows, own.frame.footprint
    wall = rows.bed.line.low.line_in
    if own.joists > FULL:
        yield (
            f"The joists under {covers.member} carry {own.joists:.2f} of what they can by calculation, with "
            f"{len(rows.rows_in)} beams under it: deeper or closer joists are needed there."
        )
    near, first = covers.near_in - wall, rows.rows_in[0] - wall
    if rows.bed.house[0] and near < NEAR_HOUSE_IN and first > near + LEAST_APART_IN:
        yield (
            f"It stands {max(0.0, near):.3g} in from the house wall; its first beam stands "
            f"{first:.3g} in out, so the joists reach past it. Move it out to 2 ft at least."
        )


def _on_the_deck(own: Own, criteria: Criteria) -> Iterator[Reason]:
    """The deck's own supports must carry no more than without the object, and hold joists it lifts."""
    rows, covers = own.frame.rows, own.frame.footprint
    bed = rows.bed
    found = reactions(bed, rows.rows_in, covers, rows.load)
    sized_for = bed.line.reactions_plf(criteria.design_psf)
    for name, y_in, plf in zip(bed.names, bed.line.supports_in, sized_for, strict=True):
        one = found[y_in]
        if one.full_plf > plf * FULL:
            text = (
                f"With {covers.member} on the deck {name} carries {one.full_plf:.4g} plf and is sized for {plf:.4g}, "
                f"wherever beams were tried: move the object, or have an engineer size {name}."
            )
            yield reason("heavy_object", text, name)
        if one.least_plf < LIFTS_PLF:
            lift_lb = -one.least_plf * bed.spacing_in / 12
            text = (
                f"Filled, {covers.member} lifts each joist off {name} by up to {lift_lb:.0f} lb: tie it down."
            )
            yield reason("heavy_object", text, name)


def _crowded(heavy: Heavy) -> Iterator[Reason]:
    for a, b in combinations(heavy.frames, 2):
        if a.rows.bed.axes != b.rows.bed.axes:
            continue
        beside = a.rows.strip.start_in < b.rows.strip.end_in and b.rows.strip.start_in < a.rows.strip.end_in
        gap = min(abs(y - z) for y in a.rows.rows_in for z in b.rows.rows_in)
        if beside and gap < LEAST_APART_IN:
            text = f"Beams under {a.footprint.member} and {b.footprint.member} meet: one frame has to carry both."
            yield reason("heavy_object", text, b.footprint.member)


def _near_house(own: Own, sized: Sequence[Sized]) -> Iterator[Caution]:
    its = [one for one in sized if one.footing.serves == own.frame.footprint.member]
    close = [
        one for one in its if one.demand.from_wall_ft * 12 - one.footing.width_in / 2 < CLEAR_OF_HOUSE_IN
    ]
    if close or any(one.footing.in_backfill_zone for one in its):
        yield caution(
            "near_house_footing",
            f"Footings of {own.frame.footprint.member} stand where the ground beside the house was dug up, or within "
            f"{CLEAR_OF_HOUSE_IN:g} in of its wall.",
            "Move the object out from the house, or have an engineer look at those footings.",
        )


def _rim(thing: HeavyObjectSpec, covers: Footprint, outline: Outline) -> Iterator[Caution]:
    to_edge = 12 * outline.to_open_edge_ft(covers.corners_ft)
    if thing.kind == "hot_tub" and to_edge < STEP_ON_WITHIN_IN:
        yield caution(
            "guard_height_from_rim",
            f"The rim of the tub is {max(0.0, to_edge):.3g} in from an edge: one can step on it beside the guard.",
            "Measure the guard's height there from the rim, or move the tub.",
        )


def _touching(heavy: Heavy, footings: Sequence[Footing]) -> Iterator[Caution]:
    own = {frame.footprint.member for frame in heavy.frames}
    for a, b in combinations(footings, 2):
        apart = 12 * math.dist((a.x_ft, a.y_ft), (b.x_ft, b.y_ft))
        if (a.serves in own or b.serves in own) and apart < (a.width_in + b.width_in) / 2:
            yield caution(
                "footings_touch",
                f"{a.id} and {b.id} stand {apart:.3g} in apart and touch.",
                "Cast them as one footing for both loads, or have an engineer move one.",
            )
