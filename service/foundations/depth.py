"""How deep a footing has to go, and what a shallow or frozen one risks."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.report import Caution
from service.rules.lookups import Reading
from service.rules.rulebook import Rulebook
from service.sizing.criteria import Criteria
from service.units.citation import Citation
from service.units.finding import Finding, at_least
from service.units.working import Step, step

FROST_ROWS = ("frost_protection", "deck_footing_frost", "frost_exception")
COVER_ROWS = ("deck_footing_depth", "footing_depth")
LEAST_COVER_IN = 12.0  # R403.1.4 of every edition; the rulebook's own row is read first


@dataclass(frozen=True)
class Depth:
    """Depths below the lowest ground at the footing, in; ``frost_in`` is null where frost need not be reached.

    ``asked_in`` is what the demand itself asks for, beside a house that was dug deep.
    """

    frost_in: float | None
    cover_in: float
    frost_citation: Citation
    cover_citation: Citation
    asked_in: float = 0.0

    @property
    def bottom_in(self) -> float:
        """Depth of the footing's bottom, in."""
        return max(self.frost_in or 0.0, self.cover_in, self.asked_in)


def _citation(rulebook: Rulebook, keys: tuple[str, ...]) -> Citation:
    readings = (rulebook.limit(key) for key in keys)
    return next((reading.citation for reading in readings if reading.found), Citation(rulebook.document))


def least_cover_in(rulebook: Rulebook) -> float:
    """Return how deep a footing goes into ground that was never dug, in.

    Source: IRC R403.1.4 of every edition, R507.3.2 from 2021 on; the row that asks for most, as a place may amend one.

    Args:
        rulebook: the rules in force.

    >>> least_cover_in(criteria.rulebook)
    12.0
    """
    reading = _cover(rulebook)
    return LEAST_COVER_IN if reading is None or reading.value is None else reading.value


def _cover(rulebook: Rulebook) -> Reading | None:
    """The row that asks for most; of rows alike the deck's own."""
    found = [reading for key in COVER_ROWS if (reading := rulebook.limit(key)).value is not None]
    return max(found, key=lambda one: one.value or 0.0, default=None)


def required_depth(attached: bool, criteria: Criteria) -> Depth:
    """Return how deep a footing must go.

    Source: 12 in into undisturbed ground, IRC R403.1.4 (2021 on R507.3.2); below frost where the deck hangs
    on the house, R403.1.4.1 and R507.3; free-standing decks too unless the rulebook's setting
    ``freestanding_footings_to_frost`` says no.

    Args:
        attached: whether the deck hangs on the house.
        criteria: frost depth and rules.

    Returns:
        Depths in inches below the lowest ground at the footing.

    >>> required_depth(True, criteria).bottom_in
    32.0
    """
    book = criteria.rulebook
    to_frost = attached or book.in_force_settings.freestanding_footings_to_frost
    by_setting = book.setting("freestanding_footings_to_frost")
    rule = _citation(book, FROST_ROWS) if attached else by_setting.citation
    cover = _cover(book)
    return Depth(
        frost_in=criteria.ground.frost_depth_in if to_frost else None,
        cover_in=least_cover_in(book),
        frost_citation=criteria.law_of("frost_depth_in", criteria.ground.frost_depth_in) or rule,
        cover_citation=Citation(book.document) if cover is None else cover.citation,
    )


def downhill_step(downhill_in: float) -> tuple[Step, ...]:
    """Return the working of a footing's lower side on a slope; nothing on level ground.

    Source: the lower side counts (convention of this service).

    Args:
        downhill_in: how much lower the ground lies there than at the footing's middle, in.

    >>> [one.symbol for one in downhill_step(2.0)], downhill_step(0.0)
    (['s'], ())
    """
    said = "ground at the footing's lower side under that at its middle"
    return (step("s", downhill_in, "in", said),) if downhill_in else ()


def depth_findings(
    member: str, depth: Depth, provided_in: float, downhill_in: float = 0.0
) -> tuple[Finding, ...]:
    """Return the checks of a footing's depth against frost and against the least cover.

    Source: as ``required_depth``; on a slope the lower side counts (convention of this service).

    Args:
        member: id of the footing.
        depth: what is required.
        provided_in: depth of its bottom below the ground at its middle, in.
        downhill_in: how much lower the ground lies at its lower side, in.

    >>> depth = Depth(32.0, 12.0, Citation("IRC"), Citation("IRC"))
    >>> [(found.check, found.passes) for found in depth_findings("main.footing-1-1", depth, 24.0)]
    [('footing_below_frost', False), ('footing_in_undisturbed_ground', True)]
    """
    least_in = provided_in - downhill_in
    cover = at_least(
        member, "footing_in_undisturbed_ground", "rule", least_in, depth.cover_in, "in", depth.cover_citation,
        (step("d", provided_in, "in", "bottom below the ground"), *downhill_step(downhill_in)),
    )  # fmt: skip
    if depth.frost_in is None:
        return (cover,)
    frost = at_least(
        member, "footing_below_frost", "rule", least_in, depth.frost_in, "in", depth.frost_citation,
        (step("frost", depth.frost_in, "in", "frost depth of the site"),),
    )  # fmt: skip
    return (frost, cover)


def heave_caution(depth: Depth, criteria: Criteria) -> tuple[Caution, ...]:
    """Return the caution of a footing that stops short of frost; empty where it does not.

    Source: R403.1.4.1 lets free-standing decks stop short; heave is the price.

    Args:
        depth: what is required.
        criteria: frost depth of the site, in.

    >>> shallow = Depth(None, 12.0, Citation("IRC"), Citation("IRC"))
    >>> [caution.code for caution in heave_caution(shallow, criteria)]
    ['frost_heave_grip']
    """
    if depth.frost_in is not None or depth.bottom_in >= criteria.ground.frost_depth_in:
        return ()
    text = (
        f"the footings of this free-standing deck stop at {depth.bottom_in:g} in, "
        f"frost goes to {criteria.ground.frost_depth_in:g} in: they may heave"
    )
    action = "take them below frost, or keep the deck clear of the house so that it can move"
    return (Caution(code="frost_heave_grip", text=text, action=action),)
