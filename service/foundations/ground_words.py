"""What is said about the ground: reasons, cautions and risks every method shares."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from service.contract.report import Caution, Reason
from service.contract.report_comparison import Risk
from service.foundations.backfill import BesideHouse, Excavation
from service.foundations.method import ENGINEER_CHECKS
from service.sizing.criteria import Criteria
from service.units.citation import Citation, from_memory
from service.units.finding import SLACK, Finding

ACTIONS: Mapping[str, str] = {
    "utilities": "call before digging, wait for the marks, dig by hand beside them",
    "backfill_zone": "dig on to original ground, use piles, move the beam out, or hang the deck on a ledger",
    "house_load_line": "move the footing out, or take it to the level of the house footing with an engineer",
    "hole_floods": "pump the hole and pour at once, or place the concrete by tremie, or use piles",
    "hole_caves": "keep the tube at the bottom while digging, or use a larger hole with a form",
    "buried_obstruction": "probe with a bar before the day; ask what the department accepts on rock",
    "footing_drain": "find the drain before digging, keep holes and piles off it, and mend it where it is cut",
    "inspection_delay": "book the inspection when the digging starts",
    "cold_weather": "plan the pour for a mild spell, cover it with blankets",
    "lead_time": "order today, and move the start to the day named, or ask who can come sooner",
    "short_load": "pour with other work, or use bags",
    "price_missing": "ask for these prices; the method has no cost until then",
    "refusal_on_rock": "probe before the machine comes; keep concrete as the other way",
    "frost_not_reached": "take the footings below frost, or keep the deck clear of the house so that it can move",
    "expansive_soil": (
        "look for wide cracks in dry ground and ask the department; where it swells, an engineer designs the footings, "
        "often piles that bear below the depth that swells (IRC R403.1.8 and IBC 1808.6, from memory)"
    ),
    "sloping_ground": "level a place to work at each footing first, and count depths from the lower side",
    "rig_too_wide": "measure the narrowest gate or passage, or ask for a smaller machine",
}
GROUND_TEXTS: Mapping[str, str] = {
    "footing_in_undisturbed_ground": (
        "the footing would stand on ground that was dug up when the house was built, or not deep enough in the ground "
        "under it"
    ),
    "footing_house_load_line": (
        "the footing lies within the load line of the house footing: it presses on the house wall, "
        "or its hole undermines the house"
    ),
}


def risk(
    code: str, severity: Literal["low", "moderate", "high"], text: str, action: str | None = None
) -> Risk:
    """Return a risk with what to do about it; no unit.

    Source: actions are common practice.

    Args:
        code: the risk's word.
        severity: how bad it would be.
        text: what can go wrong here.
        action: what to do where the usual action does not fit.

    >>> risk("hole_caves", "moderate", "sand runs in").action[:8]
    'keep the'
    """
    return Risk(code=code, severity=severity, text=text, action=action or ACTIONS[code])


def ground_reasons(member: str, findings: Sequence[Finding]) -> tuple[Reason, ...]:
    """Return the engineer reasons of a footing's ground.

    Source: R403.1 asks for undisturbed ground.

    Args:
        member: id of the footing.
        findings: its checks.

    Returns:
        Reasons; no unit.

    >>> ground_reasons("main.footing-1-1", ())
    ()
    """
    return tuple(
        Reason(code=ENGINEER_CHECKS[f.check], text=GROUND_TEXTS[f.check], member=member, citation=f.citation)
        for f in findings
        if f.check in ENGINEER_CHECKS and not f.passes
    )


LEAST_BEARING = "bearing_clay"


def soil_reasons(member: str, criteria: Criteria) -> tuple[Reason, ...]:
    """Return why an engineer has to look at soil no method has a bearing value for.

    Source: IRC Table R401.4.1 and its note: fill, mud and peat have none, and what bears less than its least row is
    investigated.

    Args:
        member: id of the footing.
        criteria: soil class and its bearing, psf.

    >>> soil_reasons("main.footing-1-1", criteria)
    ()
    """
    ground, cited = criteria.ground, Citation("IRC Table R401.4.1", status="two_sources")
    if ground.soil_class == "organic_or_fill":
        text = "fill, mud and peat have no bearing value until tested"
    elif ground.soil_bearing_psf < (criteria.rulebook.limit(LEAST_BEARING).value or 0.0):
        text = "soil bearing under the least presumptive value of the code"
    else:
        return ()
    return (Reason(code="soil_needs_engineer", text=text, member=member, citation=cited),)


def rock_above_in(criteria: Criteria, bottom_in: float) -> float | None:
    """Return how deep rock begins that a hole this deep goes into; None where it meets none; in.

    Source: convention of this service: soil of a class of rock is rock from the ground down where no depth is given.

    Args:
        criteria: soil class and depth of rock, in.
        bottom_in: the hole's bottom below the ground, in.

    >>> rock_above_in(criteria, 32.0) is None
    True
    """
    ground = criteria.ground
    rock_in = ground.rock_depth_in
    if ground.is_rock:
        return min(rock_in or 0.0, bottom_in)
    return rock_in if rock_in is not None and rock_in < bottom_in - SLACK else None


def rock_reasons(member: str, criteria: Criteria, bottom_in: float) -> tuple[Reason, ...]:
    """Return why an engineer has to design a footing whose hole goes into rock.

    Source: common practice, no source: a footing on rock is keyed or pinned to it, or its hole drilled; R403.1.4.1
    lets a footing on solid rock stop above frost where that is shown.

    Args:
        member: id of the footing.
        criteria: soil class and depth of rock, in.
        bottom_in: the footing's bottom below the ground, in.

    >>> rock_reasons("main.footing-1-1", criteria, 32.0)
    ()
    """
    rock_in = rock_above_in(criteria, bottom_in)
    if rock_in is None:
        return ()
    text = (
        f"rock at {rock_in:g} in, the footing's bottom at {bottom_in:g} in: it is keyed or pinned to the rock, or its "
        "hole is drilled, and either is designed"
    )
    return (Reason(code="rock_needs_engineer", text=text, member=member),)


DEEP_HOLE_IN = 60.0  # 29 CFR 1926.652(a)(1), from memory: deeper than 5 ft sides are protected


def deep_hole_reasons(
    member: str, dug: Excavation | None, edge_in: float, bottom_in: float
) -> tuple[Reason, ...]:
    """Return why an engineer has to design a deep hole beside the wall of a basement.

    Source: 29 CFR 1926.652(a)(1), from memory: over 5 ft sides are protected; the working room beside the wall is a
    convention of this service.

    Args:
        member: id of the footing.
        dug: the hole the house was built in, None where not known.
        edge_in: near edge of the footing from the nearest wall of the house, in.
        bottom_in: its bottom below the ground, in.

    >>> deep_hole_reasons("main.footing-1-1", None, 10.0, 96.0)
    ()
    """
    if dug is None or bottom_in <= DEEP_HOLE_IN + SLACK or edge_in >= dug.floor_edge_in - SLACK:
        return ()
    text = (
        f"a hole {bottom_in:.4g} in deep is opened {max(0.0, edge_in):.3g} in from the basement wall: its shoring and "
        "what the wall then has to carry are designed"
    )
    cited = from_memory("29 CFR 1926.652(a)(1)", "sides of holes over 5 ft")
    return (Reason(code="deep_hole_at_house", text=text, member=member, citation=cited),)


def water_reasons(member: str, criteria: Criteria, bottom_in: float) -> tuple[Reason, ...]:
    """Return why an engineer has to look where ground water stands over a footing in sand or gravel.

    Source: wet sand or gravel at footing level roughly halves bearing (buoyant weight; IS 1904 says 50 %).

    Args:
        member: id of the footing.
        criteria: soil class and depth of ground water, in.
        bottom_in: the footing's bottom below the ground, in.

    >>> water_reasons("main.footing-1-1", criteria, 32.0)
    ()
    """
    water = criteria.ground.water_table_depth_in
    if water is None or water >= bottom_in or not criteria.ground.is_cohesionless:
        return ()
    text = (
        f"ground water at {water:g} in stands over the footing's bottom in {criteria.ground.soil_class}: "
        "it bears about half as much"
    )
    cited = Citation("IS 1904 note on submerged sand, reported", status="second_hand")
    return (Reason(code="soil_needs_engineer", text=text, member=member, citation=cited),)


def ground_cautions(criteria: Criteria, beside: BesideHouse, bottom_in: float) -> tuple[Caution, ...]:
    """Return what has to be known about the ground under one concrete footing.

    Source: DCA 6 for footings near the house; ground water is common practice.

    Args:
        criteria: the ground.
        beside: how the footing stands to the house.
        bottom_in: its bottom below the ground, in.

    >>> [c.code for c in ground_cautions(criteria, BesideHouse(40.0, False, True), 32.0)]
    ['near_house_footing']
    """
    found = []
    if beside.in_zone is None:
        found.append(
            Caution(
                code="backfill_settles",
                text="how deep the house's foundation goes is not known, nor how far out its hole was refilled",
                action="give house.foundation_depth_in, or look for original ground in the holes",
            )
        )
    house_in = criteria.ground.foundation_depth_in
    if beside.in_zone and house_in is not None and bottom_in < house_in:
        found.append(_settling(criteria.ground.backfill_age_years))
    if beside.near and (house_in is None or bottom_in < house_in):
        found.append(
            Caution(
                code="near_house_footing",
                text="a footing stands within 5 ft of the house",
                action="take it down to the level of the house footing, as DCA 6 asks, or show original ground",
            )
        )
    rock = rock_above_in(criteria, bottom_in)
    if rock is not None:
        found.append(
            Caution(
                code="rock_in_the_hole",
                text=f"rock at {rock:g} in stands above the footing's bottom at {bottom_in:g} in",
                action="clean the rock and ask whether it may stop there, as solid rock does not heave; or drill",
            )
        )
    water = criteria.ground.water_table_depth_in
    if water is not None and water < bottom_in:
        found.append(
            Caution(
                code="groundwater_over_base",
                text="ground water stands above the footing's bottom; wet sand bears about half as much",
                action="have the soil looked at before the pour",
            )
        )
    return tuple(found)


def _settling(age_years: float | None) -> Caution:
    """Sources disagree whether fill settles by itself, so its age never makes it ground to stand on."""
    age = "" if age_years is None else f", put back {age_years:g} years ago,"
    return Caution(
        code="backfill_settles",
        text=f"the ground beside the house was dug up; fill{age} is not relied on at any age, as sources disagree "
        "whether it ever settles by itself",
        action="stand on original ground, or go through the fill with piles",
    )
