"""The step from a door's sill down to the deck."""

from __future__ import annotations

from service.contract.report import Reason
from service.contract.spec_site import HouseSpec
from service.rules.rulebook import Rulebook
from service.sizing.stair_checks import or_else, reasons_of
from service.sizing.stair_limits import Figure, figure
from service.units.finding import Finding, at_least, at_most, numbered
from service.units.text import feet_inches
from service.units.working import step, word

DOOR = "house.door-1"


def drop_limit(house: HouseSpec, rulebook: Rulebook) -> Figure:
    """Return how far the deck may lie under the sill, in.

    The required exit door may have the deeper step only if it does not swing over the deck.

    Source: IRC landings at doors, by edition as cited.

    Args:
        house: the door.
        rulebook: the code.
    """
    shallow = house.required_exit_door and house.door_swings_out
    return figure(rulebook, "door_drop_required_exit" if shallow else "door_drop_other")


def check_door_step(
    house: HouseSpec, surface_height_in: float, rulebook: Rulebook
) -> tuple[tuple[Finding, ...], tuple[Reason, ...]]:
    """Return the check of the step at the door, in, and why it worsens the verdict if it does.

    Nothing to check without a house or a measured sill.

    Source: IRC landings at doors, by edition as cited; a deck above the sill lets water in.

    Args:
        house: the door's sill over the datum, in, and how it swings.
        surface_height_in: deck surface over the datum, in.
        rulebook: the code.

    Limits: one door; a landing with its own stair inside the limit is not looked for.
    """
    sill = house.door_sill_height_in
    if sill is None or house.wall == "none":
        return (), ()
    limit = drop_limit(house, rulebook)
    exit_word = "required exit" if house.required_exit_door else "other door"
    swing = "swings over the deck" if house.door_swings_out else "does not swing over the deck"
    steps = (
        step("sill", sill, "in", "caller"),
        step("surface", surface_height_in, "in", "caller"),
        word("door", f"{exit_word}, {swing}", "caller"),
        *limit.steps,
    )
    drop = sill - surface_height_in
    found = [
        at_most(DOOR, "door_step", "rule", drop, limit.value, "in", limit.citation, steps),
        at_least(DOOR, "door_step", "rule", drop, 0.0, "in", limit.citation, steps[:3]),
    ]
    low, high = feet_inches(sill - limit.value), feet_inches(sill)
    would = f"a surface from {low} to {high} above the datum, or a landing and stair at the door"
    findings = tuple(numbered([or_else(finding, would) for finding in found]))
    return findings, reasons_of(findings)
