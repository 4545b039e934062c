"""What a frame is compared by, against the order that is made of it member by member."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from choice.priced_cases import ALONE, CLIPPED, CREW, L_SHAPE, LEVEL, case_of, some_layouts
from context import NOWHERE, prices

from service.choice.case import Case
from service.choice.frame_price import FramePrices, Part, added
from service.choice.plans import Attachment
from service.choice.worked import Worked, work_out
from service.framing.layout import Layout
from service.takeoff.connectors import connectors
from service.takeoff.framing_parts import framing_parts, site_of
from service.takeoff.ladders import Ladders, PriceLadder
from service.takeoff.parts import Part as Piece
from service.takeoff.pricing import PACKED_UNITS, for_sale
from service.takeoff.stand_ins import stand_in
from service.units.rounding import cut_length

PIERS = {"method": "tube_form_pier"}
MEMBERS = (".joists-", ".rim-", ".ledger-", ".beam-", ".girder-", ".post-")
OF_THE_FOOTING = ("post_base", "saddle", "anchor", "pile_cap")
DECKS: dict[str, tuple[Attachment, dict[str, Any]]] = {
    "attached": ("ledger", {}),
    "standing free": ("freestanding", {}),
    "flush beams": ("freestanding", {"house": ALONE, "framing": {"beam_placement": "flush"}}),
    "flush beam and ledger": ("ledger", {"framing": {"beam_placement": "flush"}}),
    "near the soil": ("freestanding", {"house": ALONE, "levels": [{**LEVEL, "surface_height_in": 17}]}),
    "durable, on a slope": (
        "freestanding",
        {"framing": {"species": "western_cedar"}, "site": {**NOWHERE, "grade_fall_y_in_per_ft": 1.0}},
    ),
    "ledger of another species": ("ledger", {"framing": {"species": "douglas_fir_larch"}}),
    "joists longer than any board": (
        "freestanding",
        {"levels": [{"width_ft": 14, "projection_ft": 26, "surface_height_in": 60}]},
    ),
    "an L": ("ledger", {"levels": [{"outline_ft": L_SHAPE, "surface_height_in": 36}]}),
    "a clipped corner": ("ledger", {"levels": [{"outline_ft": CLIPPED, "surface_height_in": 36}]}),
    "no price for skewed hangers": (
        "freestanding",
        {"levels": [{"outline_ft": CLIPPED, "surface_height_in": 36}], "framing": {"beam_placement": "flush"}},
    ),
}  # fmt: skip


def priced(case: Case, layout: Layout) -> Part:
    """All parts of a layout."""
    found, ask, setting = FramePrices(case), case.ask(layout.region), case.setting()
    bottom = setting.stack(layout).beam_bottom_in
    feet = [one.foot for one in stands(case, layout)]
    beam = (layout.beam_size, layout.beam_plies)
    return added([
        found.joists(layout.arrangement, layout.joist_size, ask.joists_in[layout.spacing_in]),
        found.beams(layout.arrangement, layout.rows, *beam, bottom),
        found.posts(layout.post_size, *beam, feet),
    ])  # fmt: skip


def stands(case: Case, layout: Layout) -> Any:
    return work_out(case, [layout]).levels[0].built[0].stands


def ordered_lumber(case: Case, worked: Worked) -> Counter[tuple[str, float]]:
    """The pieces of the members by item and length, as the order has them before boards are chosen."""
    site = site_of(worked.frame, case.spec, case.criteria, Ladders(case.context.prices).longest_in)
    parts = (one for one in framing_parts(worked.frame, site) if isinstance(one, Piece))
    found = Counter[tuple[str, float]]()
    for one in parts:
        if any(kind in one.member for kind in MEMBERS):
            found[one.item, cut_length(one.length_in)] += one.quantity
    return found


def ordered_metal(case: Case, worked: Worked) -> Iterator[tuple[str, float]]:
    for need in connectors(worked.frame, case.criteria.coating):
        kind = need.item.partition(".")[0]
        if any(one in need.member for one in MEMBERS) and kind not in OF_THE_FOOTING and need.quantity:
            yield need.item, need.quantity


def list_price(code: str) -> Decimal | None:
    line = next(iter(for_sale(prices(), stand_in(prices(), code))), None)
    if line is None:
        return None
    return line.unit_price / (line.pack_quantity if line.unit in PACKED_UNITS and line.pack_quantity else 1)


@pytest.mark.parametrize("name", DECKS)
def test_every_piece_and_connector_of_the_order_is_in_the_price(name: str) -> None:
    kind, given = DECKS[name]
    case = case_of(crew=CREW, foundation=PIERS, **given)
    ladder = PriceLadder(prices())
    layouts = some_layouts(case, kind, 6)
    assert layouts
    for layout in layouts:
        worked = work_out(case, [layout])
        shares = {
            key: (ladder.price_per_piece(*key), count) for key, count in ordered_lumber(case, worked).items()
        }
        metal = [(list_price(code), count) for code, count in ordered_metal(case, worked)]
        found = priced(case, layout)
        lumber = sum((price * count for price, count in shares.values() if price is not None), Decimal(0))
        hardware = sum((price * Decimal(count) for price, count in metal if price is not None), Decimal(0))
        assert found.lumber == lumber * 10_000
        assert found.hardware == pytest.approx(float(hardware * 10_000), abs=20)
        missing = any(price is None for price, _ in (*shares.values(), *metal))
        assert (found.unpriced > 0) == missing
