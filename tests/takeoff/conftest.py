"""A small attached deck, a free-standing one, their criteria and the demo price book."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from context import rulebooks

from service.contract.report_frame import (
    Beam,
    Blocking,
    Brace,
    Clearance,
    Concrete,
    Flight,
    Footing,
    Guard,
    GuardPost,
    Handrail,
    JoistLine,
    Joists,
    Lap,
    LateralDevice,
    Ledger,
    Level,
    Pile,
    Post,
    Rim,
    Splice,
    Stair,
    StairGuard,
    Support,
)
from service.contract.spec import DeckingSpec, DeckSpec, FoundationSpec, LevelSpec, StairSpec
from service.framing.frame import Frame
from service.rules.price_book import PriceBook, parse_price_book

BOOK = Path(__file__).parents[2] / "service" / "rulebooks" / "price_books" / "brindlemoor-yard@4.csv"
LUMBER: dict[str, Any] = {"species": "southern_pine", "grade": "no_2"}
HDG = "hot_dip_galvanized"
BRACE_BOLTS = (
    *(f"bolt.1-2in.8in.{HDG}",) * 2, *(f"bolt.1-2in.6in.{HDG}",) * 2, *(f"washer.1-2in.{HDG}",) * 8,
)  # fmt: skip


def centres_in(width_in: float, spacing_in: float = 16.0) -> list[float]:
    inner = [
        n * spacing_in for n in range(1, int(width_in // spacing_in) + 1) if n * spacing_in < width_in - 4
    ]
    return [0.75, *inner, width_in - 0.75]


def joists(width_in: float, length_in: float, lapped: bool = False, plies: int = 1) -> Joists:
    beam_at = length_in - 24
    line = {
        "y_ft": None, "x_start_ft": None, "x_end_ft": None, "y_start_ft": 1.5 / 12,
        "y_end_ft": (1.5 + length_in) / 12, "length_in": length_in,
        "supports": (Support("main.ledger-1", 0.0), Support("main.beam-1", beam_at)),
        "spans_in": (beam_at,), "cantilever_house_in": 0.0, "cantilever_yard_in": 24.0,
        "laps": (Lap("main.beam-1", beam_at, 3.0),) if lapped else (),
    }  # fmt: skip
    lines = tuple(JoistLine(x_ft=x / 12, **line) for x in centres_in(width_in))
    return Joists(
        id="main.joists-1", mark="J1", size="2x8", plies=plies, spacing_in=16.0, direction="away_from_house",
        count=len(lines), lines=lines, **LUMBER,
    )  # fmt: skip


def beam(width_in: float, plies: int, splices: tuple[Splice, ...] = (), placement: Any = "dropped") -> Beam:
    return Beam(
        id="main.beam-1", mark="B1", size="2x10", plies=plies, placement=placement, start_ft=(0.0, 10.0),
        end_ft=(width_in / 12, 10.0), bottom_height_in=18.0, supports_ft=(1.0, width_in / 24, width_in / 12 - 1),
        spans_in=(width_in / 2 - 12,) * 2, overhang_start_in=12.0, overhang_end_in=12.0, splices=splices,
        line_load_plf=300.0, **LUMBER,
    )  # fmt: skip


def post(n: int, x_ft: float) -> Post:
    return Post(
        id=f"main.post-1-{n}", mark=f"P1-{n}", level="main", beam="main.beam-1", size="6x6", x_ft=x_ft, y_ft=10.0,
        height_in=15.0, cut_length_in=14.0, load_lb=2000.0, base=None, cap=None, **LUMBER,
    )  # fmt: skip


def footing(n: int, x_ft: float, pile: Pile | None = None) -> Footing:
    pier = Concrete(
        shape="round", shaft_diameter_in=12.0, base_shape=None, base_size_in=None, thickness_in=None,
        depth_below_grade_in=32.0, volume_cuft=2.094,
    )  # fmt: skip
    return Footing(
        id=f"main.footing-1-{n}", mark=f"F1-{n}", post=f"main.post-1-{n}", serves=f"main.post-1-{n}",
        method="helical_pile" if pile else "tube_form_pier", x_ft=x_ft, y_ft=10.0, load_lb=2000.0,
        tributary_sqft=40.0, grade_height_in=0.0, top_height_in=3.0, bottom_height_in=-32.0,
        exposed_in=3.0, in_backfill_zone=False, concrete=None if pile else pier, pile=pile,
    )  # fmt: skip


def ledger(width_in: float) -> Ledger:
    return Ledger(
        id="main.ledger-1", mark="L1", edge=0, size="2x8", start_ft=(0.0, 0.0), end_ft=(width_in / 12, 0.0),
        lands_on="wood_band", sheathing_thickness_in=0.5, fastener="lag_screw.1-2in.4in.hot_dip_galvanized",
        spacing_in=15.0, row_heights_in=(30.0, 33.0), fastener_count=14,
        lateral_devices=(LateralDevice(1.0, 0.0, 1500.0), LateralDevice(15.0, 0.0, 1500.0)), **LUMBER,
    )  # fmt: skip


def guard(width_in: float) -> Guard:
    places = [0.15, 5.0, 10.0, width_in / 12 - 0.15]
    return Guard(
        id="main.guard-1", mark="G1", edge=2, start_ft=(0.0, 12.0), end_ft=(width_in / 12, 12.0), height_in=36.0,
        posts=tuple(
            GuardPost(id=f"main.guard-post-1-{n}", x_ft=x, y_ft=12.0, mount="side", carried_by=(), hardware=())
            for n, x in enumerate(places, start=1)
        ),
    )  # fmt: skip


def stair() -> Stair:
    flight = Flight(
        risers=5, riser_in=7.2, treads=4, tread_in=10.5, run_in=42.0, stringers=4, stringer_kind="cut",
        stringer_spacing_in=16.0, stringer_length_in=60.0, drop_in=1.0, throat_in=5.5,
    )  # fmt: skip
    return Stair(
        id="deck.stair-1", mark="S1", level="main", edge=2, offset_ft=6.0, width_in=48.0, rise_in=36.0,
        foot_ft=(8.0, 15.5), foot_height_in=0.0, flights=(flight,), landings=(),
        handrail=Handrail(required=True, height_in=36.0, sides=1),
        guard=StairGuard(required=True, height_in=36.0, sides=2),
    )  # fmt: skip


def make_frame(
    width_in: float = 192.0, length_in: float = 141.0, plies: int = 2, splices: tuple[Splice, ...] = (),
    lapped: bool = False, joist_plies: int = 1, pile: Pile | None = None, placement: Any = "dropped",
    joist_bottom_in: float = 27.75,
) -> Frame:  # fmt: skip
    places = (1.0, width_in / 24, width_in / 12 - 1)
    clearance = Clearance(
        surface_height_in=36.0, joist_bottom_height_in=joist_bottom_in, lowest_beam_bottom_height_in=18.0,
        lowest_beam_above_grade_in=18.0, missing_in=None,
    )  # fmt: skip
    level = Level(
        id="main", area_sqft=width_in * 144 / 144, clearance=clearance,
        joists=(joists(width_in, length_in, lapped, joist_plies),), ledgers=(ledger(width_in),),
        rims=(
            Rim(id="main.rim-1", mark="R1", edge=2, size="2x8", start_ft=(0.0, 11.9), end_ft=(width_in / 12, 11.9),
                length_in=width_in, **LUMBER),
        ),
        beams=(beam(width_in, plies, splices, placement),),
        blocking=(Blocking(id="main.blocking-1", size="2x8", length_in=14.5, count=12, because="over the beam"),),
        braces=(Brace(id="main.brace-1", post="main.post-1-1", beam="main.beam-1", direction="along_beam",
                      size="2x6", length_in=34.0, hardware=BRACE_BOLTS, **LUMBER),),
        guards=(guard(width_in),),
    )  # fmt: skip
    return Frame(
        levels=(level,),
        posts=tuple(post(n, x) for n, x in enumerate(places, start=1)),
        footings=tuple(footing(n, x, pile) for n, x in enumerate(places, start=1)),
        stairs=(stair(),),
    )


def make_spec(width_ft: float = 16.0, supply: Any = "auto", **decking: Any) -> DeckSpec:
    return DeckSpec(
        levels=(
            LevelSpec(
                width_ft=width_ft, projection_ft=12.0, surface_height_in=36.0, decking=DeckingSpec(**decking)
            ),
        ),
        stairs=(StairSpec(edge=2, offset_ft=6.0, width_in=48.0),),
        foundation=FoundationSpec(concrete_supply=supply),
    )


@pytest.fixture(scope="session")
def frame() -> Callable[..., Frame]:
    return make_frame


@pytest.fixture(scope="session")
def spec() -> Callable[..., DeckSpec]:
    return make_spec


@pytest.fixture(scope="session")
def criteria() -> Any:
    """Only what an order reads of the criteria."""
    return SimpleNamespace(
        coating="hot_dip_galvanized", timber=None, rulebook=rulebooks()["irc-2021"], **LUMBER
    )


@pytest.fixture(scope="session")
def prices() -> PriceBook:
    return parse_price_book(BOOK.read_text(encoding="utf-8"), BOOK.name)


@pytest.fixture(scope="session")
def without(prices: PriceBook) -> Callable[[str], PriceBook]:
    """The demo book with the lines of one item taken out."""
    return lambda start: replace(prices, lines=tuple(x for x in prices.lines if not x.item.startswith(start)))
