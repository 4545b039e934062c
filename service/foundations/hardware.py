"""What is bought for footings whatever their kind: tubes, anchors, seats, machines, the inspector's fee."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from service.contract.ids import item
from service.foundations.method import Need, Sized, cut_need
from service.foundations.site import Site

AUGER = Need("rental.auger.day", 1.0, "day", False, during="dig")
MIXER = Need("rental.mixer.day", 1.0, "day", False, during="pour", only_with="bagged")
ANCHOR = ("1-2in", "10in")


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
        whole = one.footing.top_height_in - one.footing.bottom_height_in
        base = (made.thickness_in or 0.0) + (made.bell_height_in or 0.0)
        lengths.setdefault(made.shaft_diameter_in, []).append(whole - base)
    return tuple(
        cut_need(item("form", f"{diameter:g}in", "tube"), found)
        for diameter, found in sorted(lengths.items())
    )


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
