"""The ground beside a house that was dug out and put back, and the load line of the house footing."""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.foundations.depth import least_cover_in
from service.foundations.facts import FoundationFacts
from service.sizing.criteria import Criteria, Ground
from service.units.citation import Citation
from service.units.finding import SLACK, Finding, at_least
from service.units.working import Step, step

LINE_SAID = "|H - d| / tan(45 deg)"
BELOW_SAID = "below the house footing: the wider of (d - H) / tan(45 deg) and e + w0"
ZONE_SAID = "bottom below grade; above H the zone is judged where its cover begins"


@dataclass(frozen=True)
class Excavation:
    """The hole the house was built in. Distances are from the house wall, depths below the datum, in.

    ``cover_in`` is how deep a footing goes into ground that was never dug.
    """

    depth_in: float
    slope: float
    working_room_in: float
    projection_in: float
    load_line_deg: float
    cover_in: float
    slope_word: str
    slope_citation: Citation
    load_line_citation: Citation

    def width_in(self, depth_in: float) -> float:
        """Return how far from the house the ground was disturbed at a depth, in.

        Source: w(d) = e + w0 + S (H - d), working room by the OSHA memorandum of 30 June 1995, slopes by
        29 CFR 1926 Subpart P Appendix B. Nothing was dug below H.

        Args:
            depth_in: depth below the datum, in.
        """
        return 0.0 if depth_in >= self.depth_in else self.dug_in(depth_in)

    def dug_in(self, depth_in: float) -> float:
        """Return how wide the hole was at a depth, its floor included, in from the house wall.

        Source: as ``width_in``; at the floor it is the working room.

        Args:
            depth_in: depth below the datum, down to the floor, in.
        """
        return self.projection_in + self.working_room_in + self.slope * (self.depth_in - depth_in)

    def original_ground_in(self, edge_in: float) -> float:
        """Return how deep ground that was never dug lies at a distance from the house, in below the datum.

        Source: ``width_in`` turned round, d = H - (x - e - w0) / S; within the working room it is the whole depth.

        Args:
            edge_in: distance from the house wall, in.
        """
        past_floor_in = edge_in - self.projection_in - self.working_room_in
        if past_floor_in < -SLACK:
            return self.depth_in
        if self.slope == 0:
            return 0.0
        return max(0.0, self.depth_in - past_floor_in / self.slope)

    def zone_depth_in(self, bottom_depth_in: float, cover_in: float | None = None) -> float:
        """Return the depth at which ground must never have been dug for a footing to stand on its bottom, in.

        Source: 12 in into undisturbed ground, IRC R403.1.4; on the floor of the hole it may stand, as DCA 6 asks.

        Args:
            bottom_depth_in: depth of its bottom below the datum, in.
            cover_in: how deep it goes into ground never dug, in; without it the rulebook's least.
        """
        if bottom_depth_in >= self.depth_in - SLACK:
            return max(bottom_depth_in, self.depth_in)
        return bottom_depth_in - (self.cover_in if cover_in is None else cover_in)

    def bearing_depth_in(self, edge_in: float) -> float:
        """Return the least depth of a bottom with its cover in ground never dug, in below the datum.

        Source: as ``zone_depth_in``; never below the floor of the hole.

        Args:
            edge_in: distance of the footing's near edge from the house wall, in.
        """
        return min(self.depth_in, self.original_ground_in(edge_in) + self.cover_in)

    def below_floor(self, bottom_depth_in: float) -> bool:
        """Return whether a bottom lies lower than the house footing; depth below the datum, in."""
        return bottom_depth_in > self.depth_in + SLACK

    @property
    def floor_edge_in(self) -> float:
        """How far from the house wall the floor of the hole went."""
        return self.projection_in + self.working_room_in

    def load_line_in(self, bottom_depth_in: float) -> float:
        """Return how far from the house a footing bottom must stay, in.

        Source: common practice, 45 degrees from the edge of the house footing: above it the deck must not
        press on the wall, below it the hole must not undermine the house (29 CFR 1926.651(i)), however little
        deeper it is: there the working room beside the house is kept free too.

        Args:
            bottom_depth_in: depth of the deck footing's bottom below the datum, in.
        """
        line_in = abs(self.depth_in - bottom_depth_in) / math.tan(math.radians(self.load_line_deg))
        return max(line_in, self.floor_edge_in) if self.below_floor(bottom_depth_in) else line_in

    def clear_of_load_line_in(self, edge_in: float) -> float:
        """Return the least depth at which a footing bottom does not press on the house wall, in below the datum.

        Source: ``load_line_in`` turned round, d = H - x tan(angle).

        Args:
            edge_in: distance of the footing's near edge from the house wall, in.
        """
        return max(0.0, self.depth_in - max(0.0, edge_in) * math.tan(math.radians(self.load_line_deg)))

    def stands_clear(self, edge_in: float, depth_in: float) -> bool:
        """Return whether a footing bottom bears on original ground and outside the load line, above or below.

        Source: IRC R403.1 for the ground, ``load_line_in`` for the line. No unit.

        Args:
            edge_in: distance of its near edge from the house wall, in.
            depth_in: depth of its bottom below the datum, in.
        """
        return edge_in >= self.clear_edge_in(depth_in) - SLACK

    def clear_edge_in(self, depth_in: float) -> float:
        """Return how far from the house a near edge has to be to stand clear at a depth, in; as ``stands_clear``."""
        return max(self.width_in(self.zone_depth_in(depth_in)), self.load_line_in(depth_in))

    def steps(self, depth_in: float) -> tuple[Step, ...]:
        """Return the working of the disturbed width at a depth."""
        return (
            step("H", self.depth_in, "in", "bottom of the house footing below grade"),
            step("d", depth_in, "in", "depth considered"),
            step("S", self.slope, "ratio", f"side slope, {self.slope_word}"),
            step("w0", self.working_room_in, "in", "working room at the bottom"),
            step("e", self.projection_in, "in", "projection of the house footing"),
            step("w", self.width_in(depth_in), "in", "e + w0 + S (H - d)"),
        )


def excavation(criteria: Criteria, facts: FoundationFacts) -> Excavation | None:
    """Return the hole the house was built in, or None where there is no house or its depth is not known.

    Source: see ``Excavation.width_in``.

    Args:
        criteria: the ground of the site.
        facts: slopes and working room.

    >>> excavation(criteria, facts) is None  # the depth of the house's foundation is not known
    True
    """
    ground = criteria.ground
    if not ground.house_present or ground.foundation_depth_in is None:
        return None
    slope = facts.figures[f"slope_{ground.excavation_slope}"]
    line = facts.figures["load_line"]
    return Excavation(
        depth_in=ground.foundation_depth_in,
        slope=slope.value,
        working_room_in=facts.value("working_room"),
        projection_in=facts.value("house_footing_projection"),
        load_line_deg=line.value,
        cover_in=least_cover_in(criteria.rulebook),
        slope_word=ground.excavation_slope,
        slope_citation=slope.citation,
        load_line_citation=line.citation,
    )


@dataclass(frozen=True)
class BesideHouse:
    """Where one footing stands relative to the house: ``edge_in`` is from the nearest wall to its near edge."""

    edge_in: float
    in_zone: bool | None
    near: bool


def beside_house(
    criteria: Criteria,
    facts: FoundationFacts,
    from_wall_ft: float,
    half_width_in: float,
    grade_height_in: float,
) -> BesideHouse:
    """Return how a footing stands to the house.

    Source: the zone is judged at the frost line (convention of this service); nearness by DCA 6, 5 ft.

    Args:
        criteria: the ground of the site.
        facts: the figures of the zone.
        from_wall_ft: distance of the footing's centre from the nearest wall of the house, ft.
        half_width_in: half the bearing width, in.
        grade_height_in: ground at the footing above the datum, in.

    Returns:
        ``in_zone`` null where the house's foundation depth is not known, false where there is no house.

    >>> beside_house(criteria, facts, 10.0, 9.0, 0.0)
    BesideHouse(edge_in=111.0, in_zone=None, near=False)
    """
    at = (from_wall_ft, half_width_in, grade_height_in)
    return beside_hole(excavation(criteria, facts), criteria.ground, facts.value("near_house"), *at)


def beside_hole(
    dug: Excavation | None,
    ground: Ground,
    near_in: float,
    from_wall_ft: float,
    half_width_in: float,
    grade_height_in: float,
) -> BesideHouse:
    """Return how a footing stands to a house whose hole has been worked out; all else as ``beside_house``.

    Source: as ``beside_house``.

    Args:
        dug: the hole, None where there is no house or its depth is not known.
        ground: frost depth, and whether there is a house.
        near_in: how near the house matters, in.
        from_wall_ft: distance of the footing's centre from the nearest wall of the house, ft.
        half_width_in: half the bearing width, in.
        grade_height_in: ground at the footing above the datum, in.

    >>> beside_hole(None, criteria.ground, 60.0, 5.0, 9.0, 0.0).near
    True
    """
    edge_in = from_wall_ft * 12.0 - half_width_in
    near = ground.house_present and edge_in < near_in - SLACK
    if dug is None:
        return BesideHouse(edge_in, None if ground.house_present else False, near)
    return BesideHouse(edge_in, edge_in < zone_width_in(dug, ground, grade_height_in) - SLACK, near)


def zone_width_in(dug: Excavation, ground: Ground, grade_height_in: float) -> float:
    """Return how far from the house the ground was disturbed at the frost line, in.

    Source: ``Excavation.width_in``; that the zone is judged at the frost line is a convention of this service.

    Args:
        dug: the hole.
        ground: frost depth.
        grade_height_in: ground at the place above the datum, in.

    >>> from dataclasses import replace
    >>> ground = replace(criteria.ground, foundation_depth_in=96.0, excavation_slope="type_b", frost_depth_in=32.0)
    >>> zone_width_in(excavation(replace(criteria, ground=ground), facts), ground, 0.0)
    88.0
    """
    return dug.width_in(ground.frost_depth_in - grade_height_in)


def ground_findings(
    member: str,
    dug: Excavation | None,
    edge_in: float,
    bottom_height_in: float,
    cover_in: float | None = None,
) -> tuple[Finding, ...]:
    """Return the checks of a footing bottom against the fill and the load line of the house.

    Source: footings 12 in into undisturbed ground, IRC R403.1.4; zone and load line as in ``Excavation``.

    Args:
        member: id of the footing.
        dug: the excavation, None where not known: then nothing can be checked.
        edge_in: near edge of the footing from the nearest wall of the house, in.
        bottom_height_in: its bottom above the datum, in.
        cover_in: how deep it goes into ground never dug, in; without it the rulebook's least.

    >>> ground_findings("main.footing-1-1", None, 111.0, -32.0)
    ()
    """
    if dug is None:
        return ()
    depth_in = -bottom_height_in
    line_in, zone_in = dug.load_line_in(depth_in), dug.zone_depth_in(depth_in, cover_in)
    return (
        at_least(
            member, "footing_in_undisturbed_ground", "rule", edge_in, dug.width_in(zone_in), "in",
            dug.slope_citation, (step("b", depth_in, "in", ZONE_SAID), *dug.steps(zone_in)),
        ),
        at_least(
            member, "footing_house_load_line", "rule", edge_in, line_in, "in", dug.load_line_citation,
            (
                step("H", dug.depth_in, "in", "bottom of the house footing below grade"),
                step("d", depth_in, "in", "bottom of the deck footing below grade"),
                step("x", line_in, "in", BELOW_SAID if dug.below_floor(depth_in) else LINE_SAID),
            ),
        ),
    )  # fmt: skip
