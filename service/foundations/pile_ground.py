"""What the ground means for the shaft of a pile: loose fill round it, sand under it, fill nobody has measured."""

from __future__ import annotations

from service.contract.report import Caution, Reason
from service.foundations.backfill import BesideHouse
from service.foundations.demand import Demand
from service.foundations.ground_words import soil_reasons
from service.foundations.site import Site
from service.units.citation import from_memory
from service.units.finding import SLACK

# IBC 1810.2.1, from memory: a free pile is held 5 ft down in firm ground, 10 ft in soft; soil that does not flow
# keeps a shaft from buckling.
FIRM_FIXED_IN, SOFT_FIXED_IN = 60.0, 120.0
FREE_IN = 12.0  # convention of this service: tops higher than this are named
HELD = from_memory("IBC 1810.2.1", "depth at which a pile standing free is held, 10 ft in soft ground")
UNKNOWN_FILL = Caution(
    code="backfill_settles",
    text="how deep the house's foundation goes is not known: a helix could end in its backfill, and a shaft stand "
    "unheld in it",
    action="screw every pile on until the torque holds in original ground, below the house footing near the wall; "
    "piles may come out longer than drawn, so have extensions at hand",
)


def fill_in(demand: Demand, site: Site, edge_in: float) -> float:
    """Return how deep loose fill lies at a pile, in; 0 where none does or the house's depth is not known.

    Source: ``Excavation.original_ground_in`` under its edge nearest to the house.

    Args:
        demand: the ground at the pile, in.
        site: the hole the house was built in.
        edge_in: near edge of its helices from the house wall, in.

    >>> asked = Demand("main.footing-1-1", "F1-1", None, "main.beam-1", 4, 10, 2000, 2000, "6x6", 0, True)
    >>> fill_in(asked, Site(criteria, facts), 30.0)
    0.0
    """
    if site.dug is None or edge_in >= site.dug.dug_in(0.0) - SLACK:
        return 0.0
    return max(0.0, site.dug.original_ground_in(edge_in) + demand.grade_height_in)


def pile_ground_reasons(demand: Demand, site: Site, edge_in: float) -> tuple[Reason, ...]:
    """Return why an engineer has to look at a pile because of the ground round it.

    Source: IRC Table R401.4.1 for soil without a value; helices in sand bear by q' Nq, whose factor no table here has;
    IBC 1810.2.1, from memory, for shafts in loose fill so deep that it does not hold them: of a
    free-standing deck nothing else does.

    Args:
        demand: whether the deck hangs on the house.
        site: soil class, and the hole the house was built in.
        edge_in: near edge of its helices from the house wall, in.

    >>> asked = Demand("main.footing-1-1", "F1-1", None, "main.beam-1", 4, 10, 2000, 2000, "6x6", 0, True)
    >>> pile_ground_reasons(asked, Site(criteria, facts), 30.0)
    ()
    """
    member, found = demand.footing_id, list(soil_reasons(demand.footing_id, site.criteria))
    soil = site.criteria.ground.soil_class
    if site.criteria.ground.is_cohesionless:
        text = (
            f"what helices bear in {soil.replace('_', ' ')} is not worked out here: how deep the torque comes has to "
            "be shown by a test pile"
        )
        found.append(Reason(code="soil_needs_engineer", text=text, member=member))
    deep_in = fill_in(demand, site, edge_in)
    if deep_in > SOFT_FIXED_IN + SLACK and not demand.attached:
        text = (
            f"the shaft goes through {deep_in:.4g} in of loose fill under a deck that stands free: what keeps it from "
            "swaying is designed"
        )
        found.append(Reason(code="pile_shaft_unbraced", text=text, member=member, citation=HELD))
    return tuple(found)


def pile_ground_cautions(demand: Demand, site: Site, beside: BesideHouse) -> tuple[Caution, ...]:
    """Return what has to be known about the ground round one pile.

    Source: IBC 1810.2.1, from memory, for the length a shaft stands unheld; the rest is common practice.

    Args:
        demand: how far its top stands out, in.
        site: the hole the house was built in.
        beside: how it stands to the house.

    >>> asked = Demand("main.footing-1-1", "F1-1", None, "main.beam-1", 4, 10, 2000, 2000, "6x6", 0, True, 18.0)
    >>> [one.code for one in pile_ground_cautions(asked, Site(criteria, facts), BesideHouse(100.0, False, False))]
    ['pile_shaft_unbraced']
    """
    found = [] if beside.in_zone is not None else [UNKNOWN_FILL]
    deep_in, out_in = fill_in(demand, site, beside.edge_in), demand.top_above_grade_in
    said = []
    if deep_in > FIRM_FIXED_IN + SLACK:
        said.append(f"goes through {deep_in:.4g} in of loose fill")
    if out_in > FREE_IN + SLACK:
        said.append(f"stands {out_in:.4g} in out of the ground")
    if said:
        text = (
            f"the shaft of a pile {' and '.join(said)}; a pile is held some 5 ft down in firm ground and 10 ft in soft "
            "(IBC 1810.2.1, from memory)"
        )
        action = "have the shaft checked for buckling and sway, take a stiffer one, or brace it"
        found.append(Caution(code="pile_shaft_unbraced", text=text, action=action))
    return tuple(found)
