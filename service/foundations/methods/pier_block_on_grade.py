"""A precast block set on crushed stone on the ground, where a code or a place lets a deck stand so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.contract.ids import item
from service.contract.report import Caution
from service.contract.report_comparison import Risk
from service.contract.report_frame import Concrete
from service.foundations.backfill import ground_findings
from service.foundations.demand import Demand
from service.foundations.depth import downhill_step
from service.foundations.drawn import drawn
from service.foundations.facts import PierBlock
from service.foundations.ground_words import ground_cautions, ground_reasons, soil_reasons
from service.foundations.hardware import STONE_BAG, stone_bags
from service.foundations.method import CannotServe, Need, Sized
from service.foundations.site import DeckFacts, Site
from service.sizing.footings import net_bearing_psf
from service.units.citation import Citation
from service.units.finding import SLACK, Finding, at_most
from service.units.working import step

AREA, HEIGHT = "footing_exemption_area", "footing_exemption_height"
MOVES = Caution(
    code="frost_heave_grip",
    text="blocks on the ground have no hold against frost: the soil under them heaves and they move with it",
    action="keep the deck clear of the house so that it can move, drain the ground, shim it in spring",
)
LIFTS = Caution(
    code="no_uplift_resistance",
    text="blocks on the ground have no hold against wind that lifts: nothing but the deck's weight keeps it down",
    action="use footings in the ground where wind can get under the deck",
)
LISTING = Caution(
    code="maker_listing_governs",
    text="the block and what it may carry are invented; its maker's listing governs",
    action="put in the block to be used",
)


@dataclass(frozen=True)
class PierBlockOnGrade:
    """Pier blocks under a ``deck``; null where nothing is known of the whole deck, which no block may then carry."""

    deck: DeckFacts | None

    @property
    def name(self) -> str:
        """The word of the method on the wire."""
        return "pier_block_on_grade"

    def size(self, demand: Demand, site: Site) -> Sized | CannotServe:
        """Return the block for one demand.

        Source: IRC R507.3 (2018 R507.3.2), exception: free-standing, no more than 200 sq ft and 20 in over the ground
        within 36 in, joists straight on the blocks. Frames here have beams, so it takes the place's own setting
        ``pier_blocks_carry_beams``. Blocks are sized by the bearing of their base.

        Args:
            demand: load, place and what stands on it.
            site: rules, loads and ground, blocks.

        Returns:
            The smallest block that serves; ``CannotServe`` with the number that rules it out.
        """
        refused = _refused(self.deck, demand, site)
        if refused:
            return refused
        fitting = [one for one in site.facts.pier_blocks if one.takes(demand.seat_word)]
        block = next((b for b in fitting if _capacity_lb(b, site) >= demand.sizing_load_lb - SLACK), None)
        if block is None:
            return _no_block(fitting, demand, site)
        if block.height_in < demand.top_above_grade_in - SLACK:
            gap = f"{demand.top_above_grade_in:.3g} in above the ground"
            return CannotServe(
                "seat_not_offered", f"the beam lies {gap}, the block is {block.height_in:g} in high"
            )
        return _sized(self.name, demand, site, block)

    def needs(self, sized: Sequence[Sized], site: Site) -> tuple[Need, ...]:  # noqa: ARG002 - a method is handed it
        """Return blocks and the stone under them.

        Source: quantities of the footings; stone comes in bags of half a cubic foot (convention of this service).

        Args:
            sized: the blocks.
            site: the place.
        """
        made = [one.footing.concrete for one in sized if one.footing.concrete]
        bags = stone_bags(sum(one.stone_cuft for one in made))
        return (*_blocks(made), Need(STONE_BAG, float(bags), "each", True))

    def risks(self, sized: Sequence[Sized], site: Site) -> tuple[Risk, ...]:  # noqa: ARG002 - a method is handed it
        """Return nothing: all that can go wrong with blocks is the ground's, ``ground_risks_of``."""
        return ()

    def cautions(self, sized: Sequence[Sized], site: Site) -> tuple[Caution, ...]:  # noqa: ARG002 - a method is handed it
        """Return what blocks have no hold against, and whose word counts on them."""
        return (*((MOVES,) if site.frost_in > 0 else ()), LIFTS, LISTING)


def _refused(deck: DeckFacts | None, demand: Demand, site: Site) -> CannotServe | None:
    """Why the rules keep a deck off blocks: edition, house, area, height, beams, in that order."""
    area, height = site.limit(AREA).value, site.limit(HEIGHT).value
    edition = f"the {site.criteria.rulebook.edition} edition"
    if area is None or height is None:
        text = f"{edition} lets no deck stand on blocks without footings: the area it exempts is 0 sq ft"
        return CannotServe("not_allowed_here", text)
    if demand.attached:
        text = f"{edition} lets free-standing decks up to {area:g} sq ft stand on blocks; this one hangs on the house"
        return CannotServe("size_limit_of_edition", text)
    if deck is None:
        text = f"blocks carry decks of up to {area:g} sq ft here, and the size of this one is not known"
        return CannotServe("size_limit_of_edition", text)
    return _too_large(deck, area, height, edition) or _beams(demand, site, edition)


def _too_large(deck: DeckFacts, area_sqft: float, height_in: float, edition: str) -> CannotServe | None:
    if deck.area_sqft > area_sqft + SLACK:
        text = f"the deck has {deck.area_sqft:.4g} sq ft, {edition} lets {area_sqft:g} sq ft stand on blocks"
        return CannotServe("size_limit_of_edition", text)
    if deck.surface_over_grade_in > height_in + SLACK:
        text = (
            f"the deck lies {deck.surface_over_grade_in:.4g} in above the ground within 36 in of its edge, {edition} "
            f"lets {height_in:g} in stand on blocks"
        )
        return CannotServe("size_limit_of_edition", text)
    return None


def _beams(demand: Demand, site: Site, edition: str) -> CannotServe | None:
    if site.criteria.rulebook.in_force_settings.pier_blocks_carry_beams:
        return None
    text = (
        f"{edition} lets joists bear straight on blocks, with no beam or post between; here a block would carry "
        f"{demand.sizing_load_lb:,.0f} lb of a beam"
    )
    return CannotServe("not_allowed_here", text)


def _net_psf(block: PierBlock, site: Site) -> float:
    rule, bearing = (
        site.criteria.rulebook.in_force_settings.own_weight_rule,
        site.criteria.ground.soil_bearing_psf,
    )
    return max(0.0, net_bearing_psf(rule, bearing, block.height_in, block.height_in))


def _capacity_lb(block: PierBlock, site: Site) -> float:
    """The lesser of what the ground under its base bears and what the block may carry."""
    return min(_net_psf(block, site) * block.base_in**2 / 144.0, block.allowable_lb)


def _no_block(fitting: Sequence[PierBlock], demand: Demand, site: Site) -> CannotServe:
    if not fitting:
        return CannotServe(
            "seat_not_offered", f"no block of {len(site.facts.pier_blocks)} takes {demand.seat_word}"
        )
    best = max(_capacity_lb(block, site) for block in fitting)
    text = (
        f"the largest block carries {best:,.0f} lb on this ground, {demand.sizing_load_lb:,.0f} lb is needed"
    )
    return CannotServe("bearing_too_low", text)


def _sized(method: str, demand: Demand, site: Site, block: PierBlock) -> Sized:
    down_in = demand.downhill_in(block.base_in)
    depth_in = block.height_in - demand.top_above_grade_in + down_in
    beside = site.beside(demand, block.base_in)
    on_ground = ground_findings(
        demand.footing_id, site.dug, beside.edge_in, demand.grade_height_in - depth_in, cover_in=0.0
    )
    return Sized(
        demand=demand,
        footing=drawn(
            method,
            demand,
            site,
            (demand.top_above_grade_in, depth_in),
            beside.in_zone,
            _concrete(block, depth_in),
        ),
        findings=(_bearing(demand, site, block, down_in), *on_ground),
        engineer=(
            *soil_reasons(demand.footing_id, site.criteria),
            *ground_reasons(demand.footing_id, on_ground),
        ),
        cautions=ground_cautions(site.criteria, beside, depth_in),
    )


def _concrete(block: PierBlock, depth_in: float) -> Concrete:
    """A block comes ready made: there is nothing to pour."""
    return Concrete(
        shape="square",
        shaft_diameter_in=None,
        base_shape="square",
        base_size_in=block.base_in,
        thickness_in=block.height_in,
        depth_below_grade_in=depth_in,
        volume_cuft=0.0,
        stone_cuft=block.base_in**2 * block.stone_in / 1728.0,
    )


def _bearing(demand: Demand, site: Site, block: PierBlock, down_in: float) -> Finding:
    net = _net_psf(block, site)
    steps = (
        step("q", net, "psf", "soil bearing by the own-weight rule in force"),
        step("A", block.base_in**2 / 144.0, "sqft", "base of the block"),
        step("R_soil", net * block.base_in**2 / 144.0, "lb", "q A"),
        step("R_block", block.allowable_lb, "lb", block.source),
        *downhill_step(down_in),
    )
    cited = Citation(document=block.source, section=f"{block.base_in:g} in block", status=block.status)
    return at_most(
        demand.footing_id, "footing_size", "calculated", demand.sizing_load_lb, _capacity_lb(block, site), "lb",
        cited, steps,
    )  # fmt: skip


def _blocks(made: Sequence[Concrete]) -> Iterator[Need]:
    bases = Counter(one.base_size_in for one in made if one.base_size_in)
    for base_in, count in sorted(bases.items()):
        yield Need(item("pier_block", f"{base_in:g}in", "precast"), float(count), "each", True)
