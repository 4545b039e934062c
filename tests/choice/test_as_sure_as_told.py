"""What is told as proven is: both ways of support were looked at to their end, and what a ceiling comes from too."""

from __future__ import annotations

from itertools import islice, takewhile
from typing import Any

from choice.priced_cases import HOUSE, case_of
from context import NOWHERE

from service.choice.search.best_first import Order
from service.choice.search.decide import Decision, decide

WIDE: dict[str, Any] = {"width_ft": 40, "projection_ft": 20, "surface_height_in": 36}
MIDDLING: dict[str, Any] = {"width_ft": 24, "projection_ft": 16, "surface_height_in": 36}
BURIED: dict[str, Any] = {"width_ft": 20, "projection_ft": 12, "surface_height_in": 36}
SLOPING: dict[str, Any] = {**NOWHERE, "grade_fall_x_in_per_ft": 0.05}

DECKS = (
    (WIDE, "auto"),
    (MIDDLING, "post_on_buried_pad"),
    (BURIED, "post_on_buried_pad"),
    (BURIED, "auto"),
    (BURIED, "pad_and_pier"),
)


def decided(level: dict[str, Any], method: str = "auto", **framing: Any) -> Decision:
    return decide(case_of(levels=[level], house=HOUSE, foundation={"method": method}, framing=framing))


def least_of_other(found: Decision) -> tuple[int, bool]:
    """The least that a frame of the other way of support may cost, and whether its best frame is proven."""
    (other,) = (one for one in found.options if one.worked is not found.chosen)
    assert other.found is not None
    fields = [field for search in other.found.searches for field in search.fields]
    return min(int(field.least.min()) for field in fields if len(field)), other.found.proven


def test_the_cheaper_way_of_support_is_proven_only_where_the_other_cannot_be() -> None:
    seen = set[tuple[float, str, bool, bool]]()
    for level, method in DECKS:
        found = decided(level, method)
        assert found.found is not None
        assert found.chosen is not None
        assert found.chosen.price is not None
        least, proven = least_of_other(found)
        open_still = least < found.chosen.price.total and not proven
        assert not (open_still and found.found.proven), (level, method)
        seen.add((level["width_ft"], method, open_still, found.found.proven))
    # of the widest the other way was cut at first, and is looked at to its end before anything is told as proven
    assert (40, "auto", False, True) in seen
    assert (24, "post_on_buried_pad", True, False) in seen


def test_a_pinned_way_of_support_needs_no_proof_of_the_other() -> None:
    found = decided(BURIED, "post_on_buried_pad", attachment="ledger")
    assert found.found is not None
    assert found.found.proven


def test_the_stiffest_is_no_surer_than_the_cheapest_it_is_measured_by() -> None:
    """On a slight slope: on level ground the bound of footings is so near that the cheapest is proven."""
    deck = {"width_ft": 16, "projection_ft": 16, "surface_height_in": 36}
    pins = {"attachment": "freestanding", "joist_direction": "along_house"}
    cheapest, stiff = (
        decide(case_of(levels=[deck], house=HOUSE, site=SLOPING, framing={**pins, **wished}))
        for wished in ({}, {"objective": "stiffness"})
    )
    assert cheapest.found is not None
    assert stiff.found is not None
    assert not cheapest.found.proven
    assert not stiff.found.proven


def test_of_frames_that_cost_the_same_the_stiffest_is_taken() -> None:
    """Cantilevers of several lengths take the same boards and posts: the frame that gives least comes first."""
    level = {"width_ft": 20, "projection_ft": 14, "surface_height_in": 36}
    case = case_of(
        levels=[level], house={**HOUSE, "wall": "brick_veneer"}, framing={"attachment": "freestanding"}
    )
    found = decide(case).found
    assert found is not None
    (search,), (ours,) = found.searches, found.candidates
    stream = search.best_known(Order("cost"))
    alike = [one.deflection_in for one in takewhile(lambda one: one.key == ours.key, islice(stream, 40))]
    assert len({round(one, 4) for one in alike}) > 1
    assert ours.deflection_in == min(alike)
