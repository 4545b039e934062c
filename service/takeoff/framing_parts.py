"""The parts of a level's framing: joists, ledgers, rims, beam plies, blocking, braces, and the posts under it."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.contract.report_frame import Beam, Blocking, Joists, Ledger, Level, Point, Rim
from service.contract.spec import DeckSpec
from service.framing.beam_lines import Joints, joint_count, ply_ways
from service.framing.frame import Frame
from service.framing.ground import Grade, grade_of, lowest_ground_gap_in
from service.sizing.criteria import Criteria
from service.sizing.lumber import depth_in
from service.takeoff.items import lumber, lumber_item, post, treatment
from service.takeoff.joints import Offer, Way, offered
from service.takeoff.lines import Segment, ends_ft, lead_in, rim_breaks_in
from service.takeoff.parts import (
    Cuts,
    Longest,
    Part,
    distance_in,
    divided,
    divisions,
    in_equal_parts,
    run_parts,
)
from service.takeoff.stair_levels import framed_levels

# Wood this near the soil is ordered for ground contact (AWPA U1 as trade guides give it, from memory).
GROUND_CONTACT_WITHIN_IN = 6.0
BRACE_CUTS: Cuts = (45.0, 45.0)  # plumb at the post, level at the beam
BURIED_METHODS = ("post_on_buried_pad",)


@dataclass(frozen=True)
class Site:
    """What the parts of one level need to know beyond the level itself."""

    criteria: Criteria
    places_ft: Mapping[str, Point]
    ground: Grade
    longest_in: Longest

    def near_soil(self, bottom_in: float | None, runs: Iterable[Segment]) -> bool:
        """Whether wood along these runs, its bottom this high above the datum, is in ground contact anywhere."""
        if bottom_in is None:
            return False
        gaps = (lowest_ground_gap_in(*run, bottom_in, self.ground) for run in runs)
        return any(gap < GROUND_CONTACT_WITHIN_IN for gap in gaps)


def site_of(frame: Frame, spec: DeckSpec, criteria: Criteria, longest_in: Longest) -> Site:
    """Return what the framing parts of a frame need: support places by id, and the ground under it."""
    places = {one.id: (one.x_ft, one.y_ft) for one in frame.posts}
    places |= {one.id: (one.x_ft, one.y_ft) for one in frame.footings}
    return Site(criteria, places, grade_of(spec.site), longest_in)


def framing_parts(frame: Frame, site: Site, open_beams: Container[str] = ()) -> Iterator[Part | Offer]:
    """Yield every part of the frame's lumber and posts, with what stands under stairs; guards and flights apart.

    Beams in ``open_beams`` are offered with every way their plies may be joined; others are as the frame has them.
    """
    for level in framed_levels(frame):
        yield from _level_parts(level, site)
        for beam in level.beams:
            yield from _beam_offer(beam, site) if beam.id in open_beams else _beam_parts(beam, site)
    yield from post_parts(frame)


def _level_parts(level: Level, site: Site) -> Iterator[Part | Offer]:
    for joists in level.joists:
        yield from _joist_parts(joists, level, site)
    for ledger in level.ledgers:
        yield from _ledger_parts(ledger, level, site)
    for rim in level.rims:
        yield from _rim_parts(rim, level, site)
    for blocking in level.blocking:
        yield from _blocking_parts(blocking, level, site)
    for brace in level.braces:
        code = lumber_item(brace.size, brace.species, brace.grade)
        yield Part(code, brace.length_in, brace.id, cuts_deg=BRACE_CUTS, across=True)


def _bottom_in(level: Level, size: str) -> float | None:
    """The bottom of a member of this size whose top is level with the joists'; the deepest hang the lowest."""
    lowest = level.clearance.joist_bottom_height_in
    if lowest is None or not level.joists:
        return lowest
    return lowest + max(depth_in(group.size) for group in level.joists) - depth_in(size)


def _framed(member: Joists | Ledger | Rim, level: Level, site: Site, runs: Iterable[Segment]) -> str:
    """The item of a member whose top is level with the joists'.

    A ledger is hard to replace: joists, boards and the wall's flashing come off first.
    """
    near = site.near_soil(_bottom_in(level, member.size), runs)
    use = treatment(member.species, ground_contact=near, hard_to_replace=isinstance(member, Ledger))
    return lumber(member.size, member.species, member.grade, use)


def _joist_parts(joists: Joists, level: Level, site: Site) -> Iterator[Part]:
    """One group is ordered alike: for ground contact where any of its lines is near the soil."""
    code = _framed(joists, level, site, map(ends_ft, joists.lines))
    for line in joists.lines:
        cuts = (line.start_cut_deg, line.end_cut_deg)
        before = lead_in(line.length_in, distance_in(*ends_ft(line)), cuts)
        ends = [0.0, *(before + lap.at_in for lap in line.laps), line.length_in]
        laps = [0.0, *(lap.lap_in for lap in line.laps), 0.0]
        lengths = [b - a + (laps[n] + laps[n + 1]) / 2 for n, (a, b) in enumerate(pairwise(ends))]
        yield from run_parts(code, lengths, joists.id, joists.plies, cuts)


def _ledger_parts(ledger: Ledger, level: Level, site: Site) -> Iterator[Part]:
    """A long ledger is butted in equal parts, as its fasteners are laid out."""
    run = ledger.start_ft, ledger.end_ft
    code = _framed(ledger, level, site, (run,))
    yield from run_parts(code, in_equal_parts(distance_in(*run), site.longest_in(code)), ledger.id)


def _rim_parts(rim: Rim, level: Level, site: Site) -> Iterator[Part | Offer]:
    """A long rim is butted on the end of a joist or over a beam (common practice)."""
    code = _framed(rim, level, site, ((rim.start_ft, rim.end_ft),))
    longest, breaks = site.longest_in(code), rim_breaks_in(rim, level)
    usual = divided(rim.length_in, longest, breaks)
    cuts = (rim.start_cut_deg, rim.end_cut_deg)
    ways = (usual, *divisions(rim.length_in, longest, breaks, usual))
    yield from offered(tuple(run_parts(code, way, rim.id, cuts_deg=cuts)) for way in ways)


def beam_item(beam: Beam, site: Site) -> str:
    """Return the item of a beam's plies: the whole deck stands on them, they are ordered as hard to replace."""
    near = site.near_soil(beam.bottom_height_in, ((beam.start_ft, beam.end_ft),))
    use = treatment(beam.species, ground_contact=near, hard_to_replace=True)
    return lumber(beam.size, beam.species, beam.grade, use)


def _beam_parts(beam: Beam, site: Site) -> Iterator[Part]:
    run, code = (beam.start_ft, beam.end_ft), beam_item(beam, site)
    for ply in range(1, beam.plies + 1):
        joints = sorted(
            distance_in(beam.start_ft, site.places_ft[splice.at_post])
            for splice in beam.splices
            if splice.ply == ply
        )
        ends = [0.0, *joints, distance_in(*run)]
        yield from run_parts(code, [b - a for a, b in pairwise(ends)], beam.id)


def _beam_offer(beam: Beam, site: Site) -> Iterator[Part | Offer]:
    """The ways the plies of a beam may be joined over its posts, the fewest joints first; as it is where none."""
    code = beam_item(beam, site)
    length, posts = distance_in(beam.start_ft, beam.end_ft), [12 * at for at in beam.supports_ft]
    ways = ply_ways(length, posts, beam.plies, site.longest_in(code), more=beam.plies)
    if not ways:
        yield from _beam_parts(beam, site)
        return
    fewest = joint_count(ways[0])
    yield Offer(
        tuple(
            Way(
                tuple(_ply_parts(beam, code, (0.0, *posts[1:-1], length), way)),
                joint_count(way) - fewest,
                way,
            )
            for way in ways
        )
    )


def _ply_parts(beam: Beam, code: str, ends_in: Sequence[float], way: Joints) -> Iterator[Part]:
    for joined in way:
        ends = [ends_in[at] for at in (0, *joined, -1)]
        yield from run_parts(code, [b - a for a, b in pairwise(ends)], beam.id)


def _blocking_parts(blocking: Blocking, level: Level, site: Site) -> Iterator[Part]:
    """Like pieces are ordered alike: all for the worst place under the level's joists."""
    species = level.joists[0].species if level.joists else site.criteria.species
    grade = level.joists[0].grade if level.joists else site.criteria.grade
    runs = (ends_ft(line) for group in level.joists for line in group.lines)
    near = site.near_soil(_bottom_in(level, blocking.size), runs)
    code = lumber(blocking.size, species, grade, treatment(species, ground_contact=near))
    for length in in_equal_parts(blocking.length_in, site.longest_in(code)):
        yield Part(code, length, blocking.id, blocking.count)


def post_parts(frame: Frame) -> Iterable[Part]:
    """Yield the posts by cut length; every one is ordered for hard-to-replace use, UC4B."""
    buried = {f.post for f in frame.footings if f.method in BURIED_METHODS}
    for one in frame.posts:
        use = treatment(one.species, ground_contact=one.id in buried, structural_post=True)
        yield Part(post(one.size, one.species, one.grade, use), one.cut_length_in, one.id)
