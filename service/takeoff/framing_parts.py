"""The parts of a level's framing: joists, ledgers, rims, beam plies, blocking, braces, and the posts under it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from service.contract.report_frame import Beam, Blocking, Joists, Ledger, Level, Point, Rim
from service.framing.frame import Frame
from service.sizing.criteria import Criteria
from service.takeoff.items import lumber, lumber_item, post, treatment
from service.takeoff.parts import Longest, Part, crossings_in, distance_in, divided, in_equal_parts

# Wood this near the soil is ordered for ground contact (AWPA U1 as trade guides give it, from memory).
GROUND_CONTACT_WITHIN_IN = 6.0
BURIED_METHODS = ("post_on_buried_pad",)


@dataclass(frozen=True)
class Site:
    """What the parts of one level need to know beyond the level itself."""

    criteria: Criteria
    places_ft: Mapping[str, Point]
    highest_grade_in: float
    longest_in: Longest

    def near_soil(self, bottom_height_in: float | None) -> bool:
        """Whether wood with this bottom height counts as in ground contact."""
        if bottom_height_in is None:
            return False
        return bottom_height_in - self.highest_grade_in < GROUND_CONTACT_WITHIN_IN


def site_of(frame: Frame, criteria: Criteria, longest_in: Longest) -> Site:
    """Return what the framing parts of a frame need: support places by id, and the highest ground under it."""
    places = {one.id: (one.x_ft, one.y_ft) for one in frame.posts}
    places |= {one.id: (one.x_ft, one.y_ft) for one in frame.footings}
    grades = [footing.grade_height_in for footing in frame.footings]
    return Site(criteria, places, max(grades, default=0.0), longest_in)


def framing_parts(frame: Frame, site: Site) -> Iterator[Part]:
    """Yield every part of the frame's lumber and posts, guards and stairs apart."""
    for level in frame.levels:
        yield from _level_parts(level, site)
    yield from post_parts(frame)


def _level_parts(level: Level, site: Site) -> Iterator[Part]:
    near = site.near_soil(level.clearance.joist_bottom_height_in)
    for joists in level.joists:
        yield from _joist_parts(joists, near)
    for ledger in level.ledgers:
        yield from _ledger_parts(ledger, near, site)
    for rim in level.rims:
        yield from _rim_parts(rim, level, near, site)
    for beam in level.beams:
        yield from _beam_parts(beam, site)
    for blocking in level.blocking:
        yield _blocking_part(blocking, level, near, site)
    for brace in level.braces:
        yield Part(lumber_item(brace.size, brace.species, brace.grade), brace.length_in, brace.id)


def _joist_parts(joists: Joists, near_soil: bool) -> Iterator[Part]:
    use = treatment(joists.species, ground_contact=near_soil)
    code = lumber(joists.size, joists.species, joists.grade, use)
    for line in joists.lines:
        ends = [0.0, *(lap.at_in for lap in line.laps), line.length_in]
        laps = [0.0, *(lap.lap_in for lap in line.laps), 0.0]
        for place, (start, end) in enumerate(pairwise(ends)):
            length = end - start + (laps[place] + laps[place + 1]) / 2
            yield Part(code, length, joists.id, joists.plies)


def _ledger_parts(ledger: Ledger, near_soil: bool, site: Site) -> Iterator[Part]:
    """A long ledger is butted in equal parts, as its fasteners are laid out."""
    use = treatment(ledger.species, ground_contact=near_soil)
    code = lumber(ledger.size, ledger.species, ledger.grade, use)
    length = distance_in(ledger.start_ft, ledger.end_ft)
    for piece in in_equal_parts(length, site.longest_in(code)):
        yield Part(code, piece, ledger.id)


def _rim_parts(rim: Rim, level: Level, near_soil: bool, site: Site) -> Iterator[Part]:
    """A long rim is butted on the end of a joist (common practice)."""
    use = treatment(rim.species, ground_contact=near_soil)
    code = lumber(rim.size, rim.species, rim.grade, use)
    breaks = crossings_in(level, rim.start_ft, rim.end_ft)
    for piece in divided(rim.length_in, site.longest_in(code), breaks):
        yield Part(code, piece, rim.id)


def _beam_parts(beam: Beam, site: Site) -> Iterator[Part]:
    use = treatment(beam.species, ground_contact=site.near_soil(beam.bottom_height_in))
    code = lumber(beam.size, beam.species, beam.grade, use)
    length = distance_in(beam.start_ft, beam.end_ft)
    for ply in range(1, beam.plies + 1):
        joints = sorted(
            distance_in(beam.start_ft, site.places_ft[splice.at_post])
            for splice in beam.splices
            if splice.ply == ply
        )
        ends = [0.0, *joints, length]
        for start, end in pairwise(ends):
            yield Part(code, end - start, beam.id)


def _blocking_part(blocking: Blocking, level: Level, near_soil: bool, site: Site) -> Part:
    species = level.joists[0].species if level.joists else site.criteria.species
    grade = level.joists[0].grade if level.joists else site.criteria.grade
    code = lumber(blocking.size, species, grade, treatment(species, ground_contact=near_soil))
    return Part(code, blocking.length_in, blocking.id, blocking.count)


def post_parts(frame: Frame) -> Iterable[Part]:
    """Yield the posts by cut length; every one is ordered for hard-to-replace use, UC4B."""
    buried = {f.post for f in frame.footings if f.method in BURIED_METHODS}
    for one in frame.posts:
        use = treatment(one.species, ground_contact=one.id in buried, structural_post=True)
        yield Part(post(one.size, one.species, one.grade, use), one.cut_length_in, one.id)
