"""What a frame is compared by, against the order that is made of it member by member."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import Any

import pytest
from choice.priced_cases import ALONE, CLIPPED, CREW, L_SHAPE, LEVEL, WAGES, case_of, some_layouts
from context import NOWHERE, context, facts, minutes, prices

from service.choice.level.case import Case
from service.choice.level.frame_price import FramePrices, Part, added
from service.choice.level.worked import Worked, work_out
from service.choice.search.plans import Attachment
from service.framing.heights import foot
from service.framing.layout import Layout
from service.takeoff.connectors import connectors
from service.takeoff.flashing import flashing_parts, tape
from service.takeoff.framing_parts import framing_parts, site_of
from service.takeoff.joints import Offer
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
    "joists near the soil": (
        "freestanding",
        {
            "house": ALONE,
            "levels": [{**LEVEL, "surface_height_in": 12}],
            "framing": {"beam_placement": "flush"},
        },
    ),
    "durable, near the soil": (
        "freestanding",
        {
            "house": ALONE,
            "levels": [{**LEVEL, "surface_height_in": 20}],
            "framing": {"species": "western_cedar"},
        },
    ),
    "beams longer than any board": ("ledger", {"levels": [{**LEVEL, "width_ft": 34}]}),
    "posts without a price": ("ledger", {"framing": {"post_size": "8x8"}}),
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


def pieces_of(parts: Iterable[Piece | Offer]) -> Iterator[Piece]:
    """A rim the order may divide in several ways counts in equal parts here."""
    for one in parts:
        if isinstance(one, Piece):
            yield one
        else:
            cut = one.ways[0].parts
            equal = sum(part.length_in * part.quantity for part in cut) / len(cut)
            yield from (part._replace(length_in=equal) for part in cut)


def ordered_lumber(case: Case, worked: Worked) -> Counter[tuple[str, float]]:
    """The pieces of the members by item and length, as the order has them before boards are chosen."""
    site = site_of(worked.frame, case.spec, case.criteria, Ladders(case.context.prices).longest_in)
    found = Counter[tuple[str, float]]()
    for one in pieces_of(framing_parts(worked.frame, site)):
        if any(kind in one.member for kind in MEMBERS):
            found[one.item, cut_length(one.length_in)] += one.quantity
    return found


def ordered_metal(case: Case, worked: Worked) -> Iterator[tuple[str, float]]:
    for need in connectors(worked.frame, case.criteria.coating):
        kind = need.item.partition(".")[0]
        if any(one in need.member for one in MEMBERS) and kind not in OF_THE_FOOTING and need.quantity:
            yield need.item, need.quantity


def flashed(case: Case, worked: Worked, ladder: PriceLadder) -> Decimal:
    """Flashing over the ledgers of the order, a share of a length for each piece, and its tape by the foot."""
    lengths, coating = Ladders(case.context.prices), case.criteria.coating
    pieces = list(flashing_parts(worked.frame, lengths, coating))
    shares = [(ladder.price_per_piece(one.item, cut_length(one.length_in)), one.quantity) for one in pieces]
    taped = [(list_price(need.item), need.quantity) for need in tape(worked.frame, lengths)]
    return sum(((price or 0) * Decimal(count) for price, count in (*shares, *taped)), Decimal(0))


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
        hardware += flashed(case, worked, ladder)
        assert found.lumber == lumber * 10_000
        assert found.hardware == pytest.approx(float(hardware * 10_000), abs=20)
        missing = any(price is None for price, _ in (*shares.values(), *metal))
        assert (found.unpriced > 0) == missing


def minutes_of(case: Case, layout: Layout) -> int:
    """The work on a layout, by the members of its frame."""
    worked, each = work_out(case, [layout]), minutes()
    lumber = ordered_lumber(case, worked)
    level = worked.frame.levels[0]
    metal = Counter[str]()
    for code, count in ordered_metal(case, worked):
        metal[code.partition(".")[0]] += int(count)
    boards = Counter[str]()
    site = site_of(worked.frame, case.spec, case.criteria, Ladders(case.context.prices).longest_in)
    for one in pieces_of(framing_parts(worked.frame, site)):
        boards[one.member.partition(".")[2].partition("-")[0]] += one.quantity
    assert sum(lumber.values()) == sum(boards[k] for k in ("joists", "rim", "ledger", "beam", "post"))
    return (
        boards["joists"] * each.joist
        + boards["rim"] * each.rim
        + boards["ledger"] * each.ledger
        + boards["beam"] * each.beam_ply
        + len(level.beams) * each.beam
        + boards["post"] * each.post
        + metal["joist_hanger"] * each.hanger
        + metal["uplift_tie"] * each.uplift_tie
        + sum(one.fastener_count for one in level.ledgers) * each.ledger_fastener
    )


@pytest.mark.parametrize("name", ["attached", "flush beams", "joists longer than any board"])
def test_minutes_are_those_of_the_members(name: str) -> None:
    kind, given = DECKS[name]
    case = case_of(crew=CREW, foundation=PIERS, **given)
    for layout in some_layouts(case, kind, 3):
        assert priced(case, layout).minutes == minutes_of(case, layout) > 0


@pytest.mark.parametrize(
    ("crew", "hour"),
    [
        (None, "0"),
        (CREW, "60.4167"),  # 1450.00 a day of three people of 8 hours: by hand
        (WAGES, "48.00"),
        ({"currency": "USD", "hourly_rate": "48.00"}, "48.00"),
        ({"currency": "USD", "size": 2}, "0"),
    ],
)
def test_an_hour_is_worth_the_wage_or_a_share_of_the_day(crew: Any, hour: str) -> None:
    found = FramePrices(case_of(crew=crew))
    assert found.labour(60) == Decimal(hour) * 10_000
    assert found.labour(90) == pytest.approx(float(Decimal(hour)) * 15_000, abs=1)


def test_a_working_day_is_that_of_the_footing_schedules() -> None:
    assert minutes().crew_day == 60 * facts().value("working_day")


def test_without_a_price_book_nothing_has_a_price_and_nothing_is_missing() -> None:
    case = case_of(context(priced=False))
    found = priced(case, some_layouts(case, "ledger", 1)[0])
    assert (found.lumber, found.hardware, found.unpriced) == (0, 0, 0)
    assert found.minutes > 0


def test_no_longer_post_costs_less() -> None:
    case = case_of()
    found = FramePrices(case)
    feet = [foot(height, 0.0) for height in range(7, 170)]
    costs = [found.least_post("6x6", "2x10", 2, one).goods for one in feet]
    assert costs == sorted(costs)
    assert costs[0] < costs[-1]
