"""The order for a frame: everything to buy, how to cut it, and what it costs."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from itertools import chain

from service.contract.money import money
from service.contract.report_order import DeckingLine, StockLine, Takeoff
from service.contract.spec import DeckSpec
from service.framing.beam_lines import Joints
from service.framing.frame import Frame
from service.rules.price_book import PriceBook
from service.sizing.criteria import Criteria
from service.takeoff.boards import boards_for, cutting_bound, cutting_lines, offered, waste_percent
from service.takeoff.concrete import bell_forms, concrete, form_parts, piles
from service.takeoff.connectors import connectors
from service.takeoff.decking import decking_parts, screws
from service.takeoff.flashing import flashing_parts, tape
from service.takeoff.framing_parts import Site, framing_parts, site_of
from service.takeoff.groundwork import Groundwork, bar_parts, ground_needs, groundwork_lines
from service.takeoff.joints import Offer, settled, with_joints
from service.takeoff.ladders import KERF_IN, USABLE_OFFCUT_IN, Ladders
from service.takeoff.nailing import connector_nails, nails
from service.takeoff.needs import Need, order_lines
from service.takeoff.parts import Part, grouped
from service.takeoff.preserving import preservative
from service.takeoff.pricing import order_total, total_of
from service.takeoff.railings import (
    Rail,
    guard_block_needs,
    guard_parts,
    rail_needs,
    rail_parts,
    railing_screws,
    stair_rails,
)
from service.takeoff.stair_parts import stair_fixings, stair_parts, stair_screws
from service.takeoff.substituting import bought_needs, bought_parts, substitutions
from service.takeoff.surfaces import Surface, surfaces
from service.takeoff.swapped import NOTHING, Swapped

BOARD_KINDS = ("decking", "fascia")
AS_ASKED = Groundwork()


def take_off(
    frame: Frame,
    spec: DeckSpec,
    criteria: Criteria,
    prices: PriceBook | None,
    groundwork: Groundwork = AS_ASKED,
    swapped: Swapped = NOTHING,
) -> Takeoff:
    """Return the order for a frame.

    Every piece comes from a member, every board from a piece. Without a price book all money is null and
    boards come in the usual lengths; an item the book does not price is named, never guessed. ``groundwork`` is
    how the footings are made, as it was compared; ``swapped`` are the members of a supplier's sections, which the
    frame has in sawn lumber of their depth.
    """
    ladders = Ladders(prices)
    floors = surfaces(frame, spec)
    parts = tuple(
        bought_parts(with_joints(_parts(frame, spec, criteria, ladders, floors, swapped), ladders), prices)
    )
    pieces = grouped(parts)
    boards = boards_for(pieces, ladders)
    needs = tuple(bought_needs(_needs(frame, spec, criteria, ladders, floors, parts, swapped), prices))
    hardware, without = order_lines(needs, prices)
    wanted = spec.foundation.concrete_supply
    supply = groundwork.supply or wanted
    mixes, unmixed = concrete(frame.footings, prices, supply, asked=supply == wanted)
    dug, unhired = groundwork_lines(frame, groundwork.rentals, prices)
    stock = [line for one in boards for line in one.stock]
    unpriced = (*(line for one in boards for line in one.unpriced), *without, *unmixed, *unhired)
    amounts = ((line.extended for line in lines) for lines in (hardware, mixes, dug))
    total = total_of(chain((line.extended for line in stock), *amounts))
    return Takeoff(
        kerf_in=KERF_IN,
        usable_offcut_in=USABLE_OFFCUT_IN,
        pieces=pieces,
        stock=tuple(line for line in stock if not _is_board(line)),
        cutting_plan=cutting_lines(boards),
        cutting_bound=cutting_bound(prices, boards),
        stock_offered=offered(boards),
        hardware=hardware,
        concrete=mixes,
        decking=tuple(_decking_line(line) for line in stock if _is_board(line)),
        substitutions=substitutions(parts, needs, boards, pieces, prices),
        unpriced=unpriced,
        lumber_waste_percent=waste_percent(boards),
        subtotal=money(prices.currency, total) if prices else None,
        total=order_total(prices, total, complete=not unpriced) if prices else None,
        groundwork=dug,
    )


def ply_joints(
    frame: Frame, spec: DeckSpec, criteria: Criteria, prices: PriceBook | None, beams: Container[str]
) -> dict[str, Joints]:
    """Return over which of their posts, by index, the plies of these beams are joined for the least price of boards.

    Beams of other kinds, and every other part cut from the same boards, stay as the frame has them.
    """
    ladders = Ladders(prices)
    site = site_of(frame, spec, criteria, ladders.longest_in)
    every = [*framing_parts(frame, site, beams), *_outside_parts(frame, spec, criteria, site)]
    items = {one.item for one in every if isinstance(one, Offer) and one.ways[0].plies}
    parts = [one for one in every if isinstance(one, Part) and one.item in items]
    offers = [one for one in every if isinstance(one, Offer) and one.item in items]
    ways = settled(parts, offers, ladders)
    return {one.member: way.plies for one, way in zip(offers, ways, strict=True) if way.plies}


def _parts(
    frame: Frame,
    spec: DeckSpec,
    criteria: Criteria,
    ladders: Ladders,
    floors: Sequence[Surface],
    swapped: Swapped,
) -> Iterator[Part | Offer]:
    site = site_of(frame, spec, criteria, ladders.longest_in)
    yield from swapped.parts(framing_parts(frame, site))
    yield from _outside_parts(frame, spec, criteria, site)
    for surface in floors:
        yield from decking_parts(surface, ladders)
    yield from form_parts(frame.footings)
    yield from bar_parts(frame.footings)
    yield from flashing_parts(frame, ladders, criteria.coating)


def _outside_parts(frame: Frame, spec: DeckSpec, criteria: Criteria, site: Site) -> Iterator[Part]:
    wishes = {one.id: one for one in spec.levels}
    for level in frame.levels:
        yield from guard_parts(level, wishes[level.id], criteria, site)
    yield from stair_parts(frame, spec, criteria)
    for rail in stair_rails(frame, spec, criteria):
        yield from rail_parts(rail, criteria, site.longest_in)


def _needs(
    frame: Frame,
    spec: DeckSpec,
    criteria: Criteria,
    ladders: Ladders,
    floors: Sequence[Surface],
    parts: Sequence[Part],
    swapped: Swapped,
) -> Iterator[Need]:
    rails = stair_rails(frame, spec, criteria)
    asked = [
        *swapped.metal(connectors(frame, criteria.coating)), *_rail_metal(frame, rails, criteria.coating)
    ]  # fmt: skip
    metal = list(bought_needs(asked, ladders.prices))
    yield from metal
    yield from swapped.fixings(connector_nails(metal, criteria.coating), criteria.coating)
    yield from stair_fixings(frame, spec, criteria.coating)
    yield from swapped.fixings(nails(frame, criteria), criteria.coating)
    yield from swapped.more(frame, criteria.coating)
    for surface in floors:
        yield screws(surface, ladders, criteria.coating)
    yield from stair_screws(frame, spec, criteria.coating)
    yield from railing_screws(frame, rails, criteria)
    yield from tape(frame, ladders)
    yield from preservative(parts)
    yield from piles(frame.footings)
    yield from bell_forms(frame.footings)
    yield from ground_needs(frame.footings)


def _rail_metal(frame: Frame, rails: Sequence[Rail], coating: str) -> Iterator[Need]:
    for level in frame.levels:
        yield from guard_block_needs(level, coating)
    for rail in rails:
        yield from rail_needs(rail, coating)


def _is_board(line: StockLine) -> bool:
    return line.item.partition(".")[0] in BOARD_KINDS


def _decking_line(line: StockLine) -> DeckingLine:
    return DeckingLine(
        item=line.item,
        length_ft=line.length_ft,
        quantity=line.quantity,
        sku=line.sku,
        unit_price=line.unit_price,
        extended=line.extended,
        availability=line.availability,
    )


def nothing_to_order() -> Takeoff:
    """Return the order of a deck no frame was found for: empty, and without a total."""
    return Takeoff(
        kerf_in=KERF_IN,
        usable_offcut_in=USABLE_OFFCUT_IN,
        pieces=(),
        stock=(),
        cutting_plan=(),
        cutting_bound=None,
        stock_offered=(),
        hardware=(),
        concrete=(),
        decking=(),
        substitutions=(),
        unpriced=(),
        lumber_waste_percent=0.0,
        subtotal=None,
        total=None,
    )
