"""The footing comparison as a page of 100 columns: every part that is there, and nothing of one that is not."""

from __future__ import annotations

import io
from typing import Any

import msgspec
import pytest
from context import context, designed, spec_of
from rich.console import Console

from service.cli.item_names import ItemNames
from service.cli.printing import PAGE_COLUMNS
from service.cli.summary_footings import print_comparison
from service.contract.money import Money, MoneyRange
from service.contract.report_comparison import (
    BesideHouseFooting,
    BreakEven,
    CodedText,
    CostPart,
    CountRow,
    CrewTimeCounted,
    DateRange,
    DayChance,
    DayRange,
    Flip,
    FootingComparison,
    GroundBesideHouse,
    GroundOption,
    MethodAtCount,
    MethodComparison,
    MethodProbability,
    Risk,
    Schedule,
    Supply,
    Task,
    ZoneWidth,
)
from service.units.working import step

PIER, PILE, BLOCK = "tube_form_pier", "helical_pile", "pier_block_on_grade"


def usd(amount: str) -> Money:
    return Money("USD", amount)


def cost(low: str, likely: str, high: str) -> MoneyRange:
    return MoneyRange("USD", low, likely, high)


TASK = Task(
    task="dig", after=("layout",), crew_present=True, days_low=0.4, days_likely=0.75, days_high=1.5, labour_hours=8.0,
    source="common practice", starts_day=0.25, ends_day=1.0, float_days=0.5, start_date="2027-04-05",
    end_date="2027-04-06",
)  # fmt: skip
SCHEDULE = Schedule(
    tasks=(TASK,), first_framing_working_day=DayRange(2.4, 4.3, 9.5), first_framing_date="2027-04-09",
    first_framing_dates=DateRange("2027-04-07", "2027-04-09", "2027-04-16"), full_load_working_day=DayRange(5, 9, 11),
    full_load_date="2027-04-16", idle_days=DayRange(1.0, 2.5, 4.0), cold_weather=True,
    framing_by=(DayChance(working_day=5, date="2027-04-12", probability=0.62),),
)  # fmt: skip
MUD = Risk(code="hole_caves", severity="high", text="sand runs into the hole", action="shore it")
WET = Risk(code="utilities", severity="low", text="lines may be buried", action="call first")


def method(name: str, **more: Any) -> MethodComparison:
    given: dict[str, Any] = {
        "method": name, "feasible": True, "why_not": (), "footings": (), "quantities": (), "cost": None,
        "schedule": None, "risks": (),
    }  # fmt: skip
    return MethodComparison(**{**given, **more})


def whole() -> FootingComparison:
    """A comparison with every part filled; figures are invented."""
    pier = method(
        PIER, cost=cost("3047.10", "5503.40", "12055.00"), schedule=SCHEDULE, risks=(WET, MUD), supply="ready_mix",
        supplies=(
            Supply(supply="ready_mix", cost=cost("1.00", "2.00", "3.00"), first_framing_working_day=DayRange(1, 2, 3),
                   chosen=True),
            Supply(supply="bagged", cost=None, first_framing_working_day=None, chosen=False),
        ),
        cost_parts=(CostPart(part="goods", cost=cost("10.00", "20.00", "30.00"), text="2 piece form.12in.tube"),),
    )  # fmt: skip
    pile = method(PILE, risks=(WET,), cost=cost("2093.00", "2467.67", "3253.00"), verdict="engineer_required")
    block = method(
        BLOCK, feasible=False, why_not=(CodedText("size_limit_of_edition", "the deck is over 200 sq ft"),)
    )
    ground = GroundBesideHouse(
        foundation_depth_in=96.0, excavation_slope="type_b", working_room_in=24.0,
        zone=(ZoneWidth(depth_in=32.0, width_ft=7.3),),
        footings=(BesideHouseFooting(footing="main.footing-1-1", distance_ft=4.0, bottom_depth_in=32.0,
                                     zone_width_ft=7.3,
                                     in_fill=True, original_ground_depth_in=72.0, load_line_depth_in=48.0),),
        options=(GroundOption(option="pile_through", possible=True, verdict="prescriptive", footings=4,
                              cost=usd("2500.00"),
                              cost_difference=usd("410.00"), days=1.2, because="piles end in original ground"),
                 GroundOption(option="move_beam", possible=False, verdict=None, footings=None, cost=None,
                              cost_difference=None, days=None, because="the joists would not reach")),
        working=(),
    )  # fmt: skip
    return FootingComparison(
        methods=(pier, pile, block),
        break_even=BreakEven(methods=(PILE, PIER), crew_day_value=usd("415.99"), footing_count=8.68,
                             working=(step("N", 2, "each", "footings of this deck"),)),
        probability_cheapest=(
            MethodProbability(PIER, 0.31, 0.6234),
            MethodProbability(PILE, 0.004, 0.3766),
            MethodProbability(BLOCK, 0.686),
        ),
        recommended=PIER,
        because=("piers cost least",),
        by_count=(CountRow(footings=4, cheapest=PILE, methods=(
            MethodAtCount(method=PIER, cost=usd("900.00"), days=4.3),
            MethodAtCount(method=PILE, cost=usd("800.00"), days=1.0),
        )),),
        probability_error_points=0.12,
        probability_text="counted over 4,096 courses of the work",
        flips=(Flip(input="crew-day value", pointer="/crew/crew_day_value", item=None, unit="USD", now=1450, at=410,
                    change_percent=-72, to_method=PILE, text="a crew-day under 410 USD makes piles cheaper"),),
        crew_time=CrewTimeCounted(time_counted="day_value_includes_wages", text="every day counts",
                                  other_way="or wages"),
        ground_beside_house=ground,
    )  # fmt: skip


def printed(comparison: FootingComparison, everything: bool = True) -> str:
    out = io.StringIO()
    console = Console(file=out, width=PAGE_COLUMNS, highlight=False)
    print_comparison(comparison, ItemNames(), console, everything=everything)
    return out.getvalue()


# A text of each part, and the field without which it must not be printed; first what stands on the one page.
FIRST = {
    "Recommended: tube form pier": ("recommended", None),
    "Piers cost least.": ("because", ()),
}
PARTS = {
    **FIRST,
    "415.99 USD": ("break_even", None),
    "fewer than 8.7 footings": ("break_even", None),
    "* 800, 1.0 d": ("by_count", ()),
    "tube form pier: cheapest in 31 of 100 jobs, of its equals in 62 of 100 jobs.": (
        "probability_cheapest",
        (),
    ),
    "helical pile: cheapest in fewer than 1 of 100 jobs": ("probability_cheapest", ()),
    "at most 0.12 percentage points": ("probability_error_points", None),
    "Counted over 4,096": ("probability_text", None),
    "A crew-day under 410 USD": ("flips", ()),
    "Every day counts.": ("crew_time", None),
    "GROUND BESIDE THE HOUSE": ("ground_beside_house", None),
    "Piles end in original ground.": ("ground_beside_house", None),
}


@pytest.mark.parametrize("text", PARTS)
def test_a_part_is_printed_where_it_is_there_and_only_then(text: str) -> None:
    name, nothing = PARTS[text]
    full, bare = whole(), msgspec.structs.replace(whole(), **{name: nothing})
    assert text in " ".join(printed(full).split())
    assert text not in " ".join(printed(bare).split())


def test_one_page_has_what_decides_and_says_where_the_rest_is() -> None:
    page = " ".join(printed(whole(), everything=False).split())
    assert {text for text in PARTS if text in page} == set(FIRST)
    order = (
        "Recommended: tube form pier",
        "use no. cost",
        "Framing starts on working day",
        "WHAT TUBE FORM PIER COSTS",
        "--all",
    )
    places = [page.index(text) for text in order]
    assert places == sorted(places)
    assert "--all" not in printed(whole())
    assert "dig" not in page.split()


def test_chances_in_the_table_are_of_equals_where_there_are_several() -> None:
    bare = msgspec.structs.replace(whole(), recommended=None)
    assert [chance in printed(whole(), False) for chance in ("62 %", "31 %")] == [True, False]
    assert [chance in printed(bare, False) for chance in ("62 %", "31 %")] == [False, True]
    alone = msgspec.structs.replace(whole(), probability_cheapest=(MethodProbability(PIER, 0.31, 1.0),))
    assert "100 %" not in printed(alone, False)


def test_why_not_leaves_out_what_the_reasons_say_and_joins_what_is_alike() -> None:
    shared = CodedText("too_steep", "the ground falls 5 in per ft")
    methods = tuple(method(one, feasible=False, why_not=(shared,)) for one in (PIER, PILE))
    text = printed(msgspec.structs.replace(whole(), methods=methods))
    assert "- tube form pier, helical pile: The ground falls 5 in per ft." in text
    said = ("Poured tube piers and helical piles are out: the ground falls 5 in per ft.",)
    assert "WHY NOT" not in printed(msgspec.structs.replace(whole(), methods=methods, because=said))


def test_a_price_that_would_have_to_double_is_not_shown() -> None:
    def flip(now: float, at: float) -> Flip:
        return Flip(input="unit_price", pointer=None, item="rental.auger.day", unit="USD", now=now, at=at,
                    change_percent=(at - now) / now * 100, to_method=PILE, text=f"an auger at {at:g}")  # fmt: skip

    flips = tuple(flip(118, at) for at in (3876.8, 236, 59, 58))
    text = printed(msgspec.structs.replace(whole(), flips=flips))
    assert [f"An auger at {flip.at:g}." in text for flip in flips] == [False, True, True, False]


def test_piles_that_carry_at_once_wait_for_nothing() -> None:
    at_once = msgspec.structs.replace(SCHEDULE, full_load_working_day=SCHEDULE.first_framing_working_day)
    first, later = (printed(msgspec.structs.replace(whole(), methods=(method(PIER, schedule=one),)))
                    for one in (at_once, SCHEDULE))  # fmt: skip
    assert "Full load from day 4.3, 2027-04-16." in first
    assert "Full load from day 9.0, 2027-04-16: till then no stacks, no tub." in later


def test_options_beside_the_house_cost_the_whole_deck() -> None:
    text = " ".join(printed(whole()).split())
    assert "whole deck difference" in text
    assert "2,500 +410" in text
    assert "Costs are of the whole deck" in text


def test_a_row_a_method_with_what_a_builder_asks_first() -> None:
    text = printed(whole())
    lines = text.splitlines()
    row = next(line for line in lines if line.strip().startswith("tube form"))
    assert all(
        part in row
        for part in ("yes", "truck", "3,047 / 5,503 / 12,055", "2.4 / 4.3 / 9.5", "2027-04-09", "62 %")
    )
    assert "engineer" in next(line for line in lines if line.strip().startswith("helical"))
    assert "- pier block on grade: The deck is over 200 sq ft." in text
    assert max(map(len, lines)) <= PAGE_COLUMNS


def test_a_risk_is_told_once_with_its_methods_the_gravest_first() -> None:
    text = " ".join(printed(whole()).split())
    assert text.index("high, tube form pier: Sand runs into the hole. Shore it.") < text.index(
        "low, tube form pier"
    )
    assert text.count("Lines may be buried. Call first.") == 1
    assert "low, tube form pier, helical pile: Lines may be buried." in text


def test_the_schedule_of_the_method_recommended_has_dates() -> None:
    text = printed(whole())
    part = text[text.index("SCHEDULE WITH TUBE FORM PIER") :]
    row = next(line for line in part.splitlines() if line.strip().startswith("dig"))
    assert row.split() == [
        "dig",
        "0.4",
        "/",
        "0.8",
        "/",
        "1.5",
        "0.2",
        "1.0",
        "2027-04-05",
        "2027-04-06",
        "0.5",
        "yes",
    ]
    assert "Full load from day 9.0, 2027-04-16" in part
    assert "the crew waits 2.5 days" in part
    assert "a pour that may freeze" in part


def test_days_in_doubt_are_a_table_with_their_dates() -> None:
    chances = tuple(
        DayChance(working_day=day, date=f"2027-04-{day + 5:02}", probability=chance)
        for day, chance in ((3, 0.001), (4, 0.31), (5, 0.62), (6, 0.999))
    )
    schedule = msgspec.structs.replace(SCHEDULE, framing_by=chances)
    text = printed(msgspec.structs.replace(whole(), methods=(method(PIER, schedule=schedule), method(PILE))))
    part = text[text.index("by the end of working day") :].splitlines()
    assert (part[1].split(), part[2].split()) == (["4", "5"], ["method", "04-09", "04-10"])
    assert part[4].split() == ["tube", "form", "pier", "31", "%", "62", "%"]


def test_items_in_a_text_have_names() -> None:
    assert "2 piece form, 12 in, tube." in printed(whole())


def test_nothing_to_compare_prints_its_reason_alone() -> None:
    bare = FootingComparison(
        methods=(),
        break_even=None,
        probability_cheapest=(),
        recommended=None,
        because=("no frame was found",),
    )
    assert [line.strip() for line in printed(bare).split("\n") if line.strip()] == [
        "FOOTING METHODS", "- No frame was found.",
    ]  # fmt: skip


def test_a_design_prints_every_method_it_compared() -> None:
    spec = spec_of(
        jurisdiction="alder-county", levels=[{"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}]
    )
    comparison = designed(spec, context("alder-county")).footing_comparison
    page = printed(comparison, everything=False)
    # a long name goes on in the line below
    begun = {" ".join(one.method.split("_")[:2]) for one in comparison.methods}
    assert len(begun) == 6
    assert all(any(line.startswith(name) for line in page.splitlines()) for name in begun)
    assert "in both." in " ".join(page.split())
