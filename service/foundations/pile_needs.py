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
# What each policy has to be paid for, the strictest last.
APPROVALS = {
    "none": (),
    "torque_log": ("service.torque_log.report",),
    "engineer_letter": ("service.torque_log.report", "service.engineer.letter"),
    "special_inspector": ("service.torque_log.report", "service.special_inspector.visit"),
}


def pile_goods(sized: Sequence[Sized], coating: str) -> tuple[Need, ...]:
    """Return leads, extensions and caps of all piles; counts without unit.

    Source: lead and extension lengths are conventions of this service; where the torque comes late every pile takes
    one extension more (common practice).

    Args:
        sized: the piles.
        coating: the fastener class of the place.

    >>> pile_goods((), "hot_dip_galvanized")
    ()
    """
    piles = [(one.footing.pile, one.demand.seat_word) for one in sized if one.footing.pile]
    leads = Counter(item("helical_pile", pile.shaft, _layout_word(pile)) for pile, _ in piles)
    caps = Counter(item("pile_cap", pile.shaft, seat, coating) for pile, seat in piles)
    return (
        *(Need(code, float(count), "each", True) for code, count in sorted(leads.items())),
        *_extensions([pile for pile, _ in piles]),
        *(Need(code, float(count), "each", True) for code, count in sorted(caps.items())),
    )


def _layout_word(pile: Pile) -> str:
    return "helix_" + "_".join(f"{helix:g}in" for helix in pile.helices)


def _extensions(piles: Sequence[Pile]) -> Iterator[Need]:
    """The extensions the drawn lengths ask for, and one more a pile at most."""
    counts: Counter[str] = Counter()
    of_shaft: Counter[str] = Counter()
    for pile in piles:
        code = item("pile_extension", pile.shaft, f"{EXTENSION_FT:g}ft")
        counts[code] += math.ceil(max(0.0, pile.length_ft - LEAD_FT) / EXTENSION_FT)
        of_shaft[code] += 1
    for code, count in sorted(counts.items()):
        yield Need(code, float(count), "each", True, most=float(count + of_shaft[code]))


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
