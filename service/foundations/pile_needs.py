"""What is bought for piles: leads, extensions, caps, the installer, and whoever says that they hold."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from service.contract.ids import item
from service.contract.report_frame import Pile
from service.foundations.method import Need, Sized
from service.foundations.site import Site

LEAD_FT, EXTENSION_FT = 7.0, 5.0  # convention of this service
LATE_TORQUE, UNKNOWN_FILL = 1, 2  # extensions more a pile
# What each policy has to be paid for, the strictest last.
APPROVALS = {
    "none": (),
    "torque_log": ("service.torque_log.report",),
    "engineer_letter": ("service.torque_log.report", "service.engineer.letter"),
    "special_inspector": ("service.torque_log.report", "service.special_inspector.visit"),
}


def pile_goods(sized: Sequence[Sized], site: Site) -> tuple[Need, ...]:
    """Return leads, extensions and caps of all piles; counts without unit.

    Source: lead and extension lengths are conventions of this service; where the torque comes late every pile takes
    one extension more (common practice), and near a house whose depth is not known two more: the top helix below an
    8 ft basement goes some 64 in deeper than below 32 in of frost.

    Args:
        sized: the piles.
        site: the fastener class of the place, and how near the house matters.

    >>> pile_goods((), Site(criteria, facts))
    ()
    """
    coating = site.criteria.coating
    piles = [(one.footing.pile, one.demand.seat_word) for one in sized if one.footing.pile]
    leads = Counter(lead_item(pile) for pile, _ in piles)
    caps = Counter(item("pile_cap", pile.shaft, seat, coating) for pile, seat in piles)
    return (
        *(Need(code, float(count), "each", True) for code, count in sorted(leads.items())),
        *_extensions(sized, site),
        *(Need(code, float(count), "each", True) for code, count in sorted(caps.items())),
    )


def lead_item(pile: Pile) -> str:
    """Return the item of a pile's lead, with its helices; no unit.

    Source: item grammar of this service.

    >>> lead_item(Pile(shaft="round_2-7-8in", helices=(10.0, 12.0), length_ft=9, kt_per_ft=9, torque_ft_lb=1))
    'helical_pile.round_2-7-8in.helix_10in_12in'
    """
    helices = "_".join(f"{helix:g}in" for helix in pile.helices)
    return item("helical_pile", pile.shaft, f"helix_{helices}")


def extension_item(pile: Pile) -> str:
    """Return the item of what makes a pile longer; no unit.

    Source: item grammar of this service.

    >>> extension_item(Pile(shaft="round_2-7-8in", helices=(10.0,), length_ft=9, kt_per_ft=9, torque_ft_lb=1))
    'pile_extension.round_2-7-8in.5ft'
    """
    return item("pile_extension", pile.shaft, f"{EXTENSION_FT:g}ft")


def extensions(pile: Pile) -> int:
    """Return how many extensions follow the lead of a pile; a count without unit.

    Source: leads of 7 ft, extensions of 5 ft, conventions of this service.

    >>> extensions(Pile(shaft="round_2-7-8in", helices=(10.0,), length_ft=9, kt_per_ft=9, torque_ft_lb=1))
    1
    """
    return max(0, math.ceil((pile.length_ft - LEAD_FT) / EXTENSION_FT))


def _extensions(sized: Sequence[Sized], site: Site) -> Iterator[Need]:
    """The extensions the drawn lengths ask for, and what the ground may ask for at most."""
    counts: Counter[str] = Counter()
    more: Counter[str] = Counter()
    for one in sized:
        pile = one.footing.pile
        if pile is None:
            continue
        code = extension_item(pile)
        counts[code] += extensions(pile)
        near = site.dug is None and site.beside(one.demand, max(pile.helices)).near
        more[code] += LATE_TORQUE + (UNKNOWN_FILL if near else 0)
    for code, count in sorted(counts.items()):
        yield Need(code, float(count), "each", True, most=float(count + more[code]))


def pile_services(count: int, policy: str, site: Site) -> tuple[Need, ...]:
    """Return the installer's work and what the policy of the place has to be paid for; counts and lots, no unit.

    Source: pile inspection policies of the jurisdiction.

    Args:
        count: piles.
        policy: the policy in force.
        site: whether an inspector reads the torque.

    >>> [need.item for need in pile_services(4, "none", Site(criteria, facts))]
    ['service.helical_pile.install', 'service.helical_pile.mobilise']
    """
    codes = APPROVALS[policy]
    if policy != "none" and site.inspects("pile_torque"):
        codes = (*codes, "fee.inspection.pile_torque")
    return (
        Need("service.helical_pile.install", float(count), "each", True),
        Need("service.helical_pile.mobilise", 1.0, "lot", False),
        *(Need(code, 1.0, "lot", False) for code in codes),
    )
