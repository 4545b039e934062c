"""Beams, posts and footings: every run stands on posts, every post on one footing, at heights that close."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import pairwise

from properties.referee_answer import Answer, carries
from properties.referee_plan import ROUNDING_IN, floor_of, inches, segment

from service.contract.report_frame import Beam, Footing, Level, Point, Post
from service.sizing.allowed import allowed_beam_span, allowed_post_height
from service.sizing.beams import overhang_limit_in
from service.sizing.lumber import depth_in

SAME_IN = 0.1
SAME_HEIGHT_IN = 0.001
BURIED, LEAST_EMBEDDED_IN = "post_on_buried_pad", 12.0
PIER_TOP_IN = 3.0
Wrong = Iterator[str]


def beams_close(answer: Answer) -> Wrong:
    """A beam lies on the floor; supports, spans and overhangs fill its length; overhangs keep to the rule."""
    for level, asked in answer.pairs:
        around = floor_of(answer.spec, asked).polygon.buffer(0.1)
        for beam in level.beams:
            line = segment(beam.start_ft, beam.end_ft)
            places = [12 * at for at in beam.supports_ft]
            if not around.covers(line):
                yield f"{beam.id} leaves the floor"
            if len(places) < 2 or any(b - a < 1.0 for a, b in pairwise(places)):
                yield f"{beam.id} stands on {len(places)} places, or they are not in order"
                continue
            drawn = [b - a for a, b in pairwise(places)]
            ends = (places[0], line.length - places[-1])
            given = (beam.overhang_start_in, beam.overhang_end_in)
            if len(drawn) != len(beam.spans_in) or not _all_near(drawn, beam.spans_in):
                yield f"{beam.id} gives spans {beam.spans_in}, its supports are {_shown(drawn)} apart"
            elif not _all_near(ends, given) or min(ends) < -ROUNDING_IN:
                yield f"{beam.id} gives overhangs {given}, drawn {_shown(ends)}"
            else:
                yield from _overhangs(answer, beam)


def _overhangs(answer: Answer, beam: Beam) -> Wrong:
    for reach, back in (
        (beam.overhang_start_in, beam.spans_in[0]),
        (beam.overhang_end_in, beam.spans_in[-1]),
    ):
        limit = overhang_limit_in(answer.criteria, back)
        if reach > limit + ROUNDING_IN and not answer.fails(beam.id, "beam_overhang"):
            yield f"{beam.id} reaches {reach:g} in past a post, {limit:g} in allowed, and no check fails"


def every_support_is_a_post_or_a_saddle(answer: Answer) -> Wrong:
    """At each support of a beam stands one post, or one footing without a post, and nowhere else."""
    posts: dict[str, list[tuple[str, Point]]] = defaultdict(list)
    for post in answer.posts:
        posts[post.beam].append((post.id, (post.x_ft, post.y_ft)))
    for footing in answer.footings:
        if footing.post is None:
            posts[footing.serves].append((footing.id, (footing.x_ft, footing.y_ft)))
    beams = {beam.id: beam for level in answer.levels for beam in level.beams}
    for owner in posts:
        if owner not in beams and not owner.startswith("deck."):
            yield f"{[one for one, _ in posts[owner]]} stand under {owner}, which is no beam"
    for beam in beams.values():
        standing = list(posts[beam.id])
        for at_ft in beam.supports_ft:
            here = [one for one in standing if math.dist(inches(one[1]), _on(beam, at_ft)) <= SAME_IN]
            if len(here) != 1:
                yield f"{beam.id} has {[one for one, _ in here]} under it at {at_ft:g} ft"
            standing = [one for one in standing if one not in here]
        if standing:
            yield f"{[one for one, _ in standing]} stand under no support of {beam.id}"


def _on(beam: Beam, at_ft: float) -> Point:
    point = segment(beam.start_ft, beam.end_ft).interpolate(12 * at_ft)
    return (point.x, point.y)


def every_post_is_on_one_footing(answer: Answer) -> Wrong:
    """A post and its footing share a place and a load, and every footing has something on it."""
    by_post: dict[str, list[Footing]] = defaultdict(list)
    known = {post.id: post for post in answer.posts}
    for footing in answer.footings:
        if footing.post is not None:
            by_post[footing.post].append(footing)
            if footing.post not in known or footing.serves != footing.post:
                yield f"{footing.id} is under post {footing.post} and serves {footing.serves}"
    for post in answer.posts:
        under = by_post[post.id]
        if len(under) != 1:
            yield f"{post.id} stands on {[one.id for one in under]}"
            continue
        (footing,) = under
        apart = math.dist(inches((post.x_ft, post.y_ft)), inches((footing.x_ft, footing.y_ft)))
        if apart > SAME_IN or abs(post.load_lb - footing.load_lb) > 0.11:
            yield f"{post.id} with {post.load_lb:g} lb is {apart:.2f} in off {footing.id} with {footing.load_lb:g}"
        if post.load_lb <= 0 and "post_lifts" not in answer.reasons:
            yield f"{post.id} carries {post.load_lb:g} lb"


def heights_close(answer: Answer) -> Wrong:
    """From the ground at each place up to the boards: pier, post, beam, joist, decking."""
    beams = {beam.id: (level, beam) for level in answer.levels for beam in level.beams}
    feet = {footing.post or footing.serves: footing for footing in answer.footings}
    for footing in answer.footings:
        ground = answer.ground_in(footing.x_ft, footing.y_ft)
        if abs(ground - footing.grade_height_in) > 0.01:
            yield f"{footing.id} has grade at {footing.grade_height_in:g} in, the ground is at {ground:.3f} in"
        stands_out = footing.top_height_in - footing.grade_height_in
        if abs(max(stands_out, 0.0) - footing.exposed_in) > 0.01:
            yield f"{footing.id} says it stands out {footing.exposed_in:g} in, its heights say {stands_out:g}"
        if footing.post is None and footing.serves in beams:
            yield from _saddle(footing, beams[footing.serves][1])
        elif footing.method == BURIED:
            # R507.4.1: a post in the ground is embedded 12 in at least
            if stands_out > -LEAST_EMBEDDED_IN + SAME_HEIGHT_IN:
                yield f"{footing.id} has its pad {-stands_out:g} in below grade"
        elif footing.post and abs(stands_out - PIER_TOP_IN) > SAME_HEIGHT_IN:
            yield f"{footing.id} ends {stands_out:g} in above grade"
    for post in answer.posts:
        if post.beam in beams and post.id in feet:
            yield from _post(post, beams[post.beam][1], feet[post.id])
    for level, asked in answer.pairs:
        for beam in level.beams:
            yield from _stack(level, beam, asked.surface_height_in - asked.decking.thickness_in)
            yield from _clear(answer, beam)


def _saddle(footing: Footing, beam: Beam) -> Wrong:
    above = beam.bottom_height_in - footing.grade_height_in
    if abs(footing.top_height_in - beam.bottom_height_in) > SAME_HEIGHT_IN or not 2.99 <= above <= 7.0:
        yield f"{beam.id} at {beam.bottom_height_in:g} in sits on {footing.id}, {footing.top_height_in:g} in high"


def _post(post: Post, beam: Beam, footing: Footing) -> Wrong:
    stands = beam.bottom_height_in - footing.top_height_in
    if abs(post.height_in - stands) > SAME_HEIGHT_IN or post.height_in < 4.0 - SAME_HEIGHT_IN:
        yield f"{post.id} is {post.height_in:g} in high, there are {stands:g} in between beam and pier"
    stand_off_in = 0.0 if footing.method == BURIED else 1.0
    if abs(post.height_in - stand_off_in - post.cut_length_in) > SAME_HEIGHT_IN:
        yield f"{post.id} is cut {post.cut_length_in:g} in long for {post.height_in:g} in"


def _stack(level: Level, beam: Beam, joist_top_in: float) -> Wrong:
    sizes = {group.size for group in level.joists if carries(group, beam.id)}
    for size in sizes:
        under = joist_top_in - (0.0 if beam.placement == "flush" else depth_in(size))
        if abs(under - depth_in(beam.size) - beam.bottom_height_in) > SAME_HEIGHT_IN:
            yield f"{beam.id} ends at {beam.bottom_height_in:g} in, under {size} joists it would not"


def _clear(answer: Answer, beam: Beam) -> Wrong:
    """The ground along the whole beam, not only at its posts."""
    line = segment(beam.start_ft, beam.end_ft)
    steps = max(2, math.ceil(line.length / 12))
    at = [line.interpolate(k / steps, normalized=True) for k in range(steps + 1)]
    highest = max(answer.ground_in(p.x / 12, p.y / 12) for p in at)
    if highest > beam.bottom_height_in and not answer.fails(beam.id, "beam_clear_of_grade"):
        yield f"{beam.id} ends at {beam.bottom_height_in:g} in, the ground rises to {highest:.2f} in, no check fails"


def splices_keep_to_the_rule(answer: Answer) -> Wrong:
    """Plies are joined over posts between the end ones only, at most half of them at one post, a single one never."""
    for level in answer.levels:
        for beam in level.beams:
            inner = {_standing_at(answer, beam, at) for at in beam.supports_ft[1:-1]}
            outside = [s.at_post for s in beam.splices if s.at_post not in inner]
            crowded = [
                post
                for post, count in Counter(s.at_post for s in beam.splices).items()
                if count > beam.plies / 2
            ]
            if outside or crowded or any(not 1 <= s.ply <= beam.plies for s in beam.splices):
                yield f"{beam.id} with {beam.plies} plies is joined at {[(s.ply, s.at_post) for s in beam.splices]}"


def _standing_at(answer: Answer, beam: Beam, at_ft: float) -> str:
    here = _on(beam, at_ft)
    found = [p.id for p in answer.posts if p.beam == beam.id and _near(p, here)]
    found += [f.id for f in answer.footings if f.post is None and f.serves == beam.id and _near(f, here)]
    return found[0] if found else ""


def _near(one: Post | Footing, place: Point) -> bool:
    return math.dist(inches((one.x_ft, one.y_ft)), place) <= SAME_IN


def beams_keep_to_the_edition(answer: Answer) -> Wrong:
    """A span with joists from one side is within the table for each of them; joists from both are an engineer's."""
    accepted = answer.criteria.rulebook.in_force_settings.accept_tributary_interior_beams
    for level in answer.levels:
        for beam in level.beams:
            lines = list(answer.one_sided(level, beam))
            both = any(joist_in is None for _, joist_in, _ in lines)
            if both and answer.status == "prescriptive" and not (accepted and beam.placement == "dropped"):
                yield f"{beam.id} carries joists on both sides, and the verdict is prescriptive"
            for (start, end), span in zip(
                pairwise(12 * at for at in beam.supports_ft), beam.spans_in, strict=False
            ):
                yield from _span(answer, beam, span, {line[1:] for line in lines if start <= line[0] <= end})


def _span(answer: Answer, beam: Beam, span: float, carried: set[tuple[float | None, float]]) -> Wrong:
    if any(joist_in is None for joist_in, _ in carried):
        return  # sized by its true load: no table to hold it to
    for joist_in, over_in in sorted((joist_in, over) for joist_in, over in carried if joist_in):
        allowed = allowed_beam_span(answer.criteria, beam.size, beam.plies, joist_in / 12, over_in / 12)
        yield from answer.over(beam.id, "beam_span", span, allowed.for_demand(span))


def posts_keep_to_the_edition(answer: Answer) -> Wrong:
    """A post is no taller than the table lets one be under its load."""
    beams = {beam.id: beam for level in answer.levels for beam in level.beams}
    for post in answer.posts:
        if post.beam in beams:
            area = post.load_lb / answer.criteria.design_psf
            allowed = allowed_post_height(
                answer.criteria, post.size, beams[post.beam].plies, area, post.height_in
            )
            yield from answer.over(post.id, "post_height", post.height_in, allowed.for_demand(post.height_in))


def _all_near(one: object, other: object) -> bool:
    pairs = zip(tuple(one), tuple(other), strict=True)  # type: ignore[call-overload]
    return all(abs(a - b) <= ROUNDING_IN for a, b in pairs)


def _shown(values: object) -> list[float]:
    return [round(value, 3) for value in tuple(values)]  # type: ignore[call-overload]
