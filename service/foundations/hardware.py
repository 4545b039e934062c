"""What is bought for footings whatever their kind: tubes, anchors, seats, machines, the inspector's fee."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from service.contract.ids import item
from service.contract.report_frame import Concrete
from service.foundations.method import Need, Sized, cut_need
from service.foundations.site import Site

AUGER = Need("rental.auger.day", 1.0, "day", False, during="dig")
MIXER = Need("rental.mixer.day", 1.0, "day", False, during="pour", only_with="bagged")
ANCHOR = ("1-2in", "10in")
STONE_BAG = item("aggregate", "crushed_stone", "bag_50lb")
STONE_BAG_CUFT = 0.5  # convention of this service: 50 lb at some 100 lb a loose cubic foot


def tubes(sized: Sequence[Sized]) -> tuple[Need, ...]:
    """Return the tubes shafts are poured in, from base to top, by diameter and length.

    Source: quantities of the footings, in lineal ft.

    Args:
        sized: the footings.

    >>> tubes(())
    ()
    """
    lengths: dict[float, list[float]] = {}
    for one in sized:
        made = one.footing.concrete
        if made is None or made.shaft_diameter_in is None:
            continue
        lengths.setdefault(made.shaft_diameter_in, []).append(tube_length_in(one.footing.length_in, made))
    return tuple(
        cut_need(item("form", f"{diameter:g}in", "tube"), found)
        for diameter, found in sorted(lengths.items())
    )


def tube_length_in(whole_in: float, concrete: Concrete) -> float:
    """Return the length of the tube of a footing, in: what is not base, bell or the cylinder under a bell.

    Source: geometry.

    Args:
        whole_in: from its bottom to its top, in.
        concrete: its base and bell, in.

    >>> made = Concrete(shape="round", shaft_diameter_in=12, base_shape="round", base_size_in=24, thickness_in=8,
    ...                 depth_below_grade_in=32, volume_cuft=4)
    >>> tube_length_in(35.0, made)
    27.0
    """
    base_in = (concrete.thickness_in or 0.0) + (concrete.bell_height_in or 0.0)
    return whole_in - base_in


def stone_bags(volume_cuft: float) -> int:
    """Return the whole bags of crushed stone for a volume in place; a count without unit.

    Source: bags of half a cubic foot, a convention of this service.

    Args:
        volume_cuft: stone in place, cu ft.

    >>> stone_bags(1.0), stone_bags(1.01), stone_bags(0.0)
    (2, 3, 0)
    """
    return math.ceil(round(volume_cuft / STONE_BAG_CUFT, 6))


def seats(sized: Sequence[Sized], coating: str) -> tuple[Need, ...]:
    """Return an anchor a pier, and a base for its post or a saddle for its beam; counts without unit.

    Source: an anchor in the concrete and a base on it, IRC R507.4.1.

    Args:
        sized: the footings.
        coating: the fastener class of the place.

    >>> seats((), "hot_dip_galvanized")
    ()
    """
    if not sized:
        return ()
    anchors = Need(item("anchor", *ANCHOR, coating), float(len(sized)), "each", True)
    found = Counter(
        item("post_base" if one.demand.post else "saddle", one.demand.seat_word, coating) for one in sized
    )
    return (anchors, *(Need(code, float(count), "each", True) for code, count in sorted(found.items())))


def hole_inspection(site: Site) -> Iterator[Need]:
    """Yield the fee of an inspector who looks into the holes, once a job, where the place sends one; no unit.

    Source: inspections of the jurisdiction; one fee as a lot.

    Args:
        site: the place.

    >>> [need.item for need in hole_inspection(Site(criteria, facts))]
    ['fee.inspection.footing_holes']
    """
    if site.inspects("footing_holes"):
        yield Need("fee.inspection.footing_holes", 1.0, "lot", False)
