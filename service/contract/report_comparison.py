"""Footing methods side by side: what each is, costs, takes and risks, and where the ranking turns over."""

from __future__ import annotations

from typing import Literal

import msgspec

from service.contract.money import Money, MoneyRange
from service.contract.report_frame import Footing
from service.units.finding import Finding
from service.units.working import Step

Status = Literal["prescriptive", "engineer_required", "not_permitted"]


class CodedText(msgspec.Struct, frozen=True):
    """A code with a sentence for people."""

    code: str
    text: str


class Risk(msgspec.Struct, frozen=True, kw_only=True):
    """A risk of a footing method and what to do about it."""

    code: str
    severity: Literal["low", "moderate", "high"]
    text: str
    action: str


class DayRange(msgspec.Struct, frozen=True):
    """Low, likely and high working days from the start of layout."""

    low: float
    likely: float
    high: float


class DateRange(msgspec.Struct, frozen=True):
    """The dates of a low, likely and high course of the work; null past the calendar."""

    low: str | None
    likely: str | None
    high: str | None


class Task(msgspec.Struct, frozen=True, kw_only=True):
    """A task of a schedule, in working days; ``labour_hours`` over all footings.

    ``starts_day`` and ``ends_day`` are working days passed since layout began, in the likely case; ``float_days`` is
    how much later it may end without framing starting later. All three are null for a task that is ordered before
    layout; ``float_days`` too where framing does not wait for a task. Dates are null without a start date; those of a
    task that is ordered before layout are the latest at which it is done in time. Concrete cures to full load by the
    calendar where there are dates.
    """

    task: str
    after: tuple[str, ...]
    crew_present: bool
    days_low: float
    days_likely: float
    days_high: float
    labour_hours: float
    source: str
    before_framing: bool = True
    starts_day: float | None = None
    ends_day: float | None = None
    float_days: float | None = None
    start_date: str | None = None
    end_date: str | None = None


class DayChance(msgspec.Struct, frozen=True, kw_only=True):
    """How likely framing has started by a working day; ``date`` is null without a start date."""

    working_day: float
    date: str | None
    probability: float


class Schedule(msgspec.Struct, frozen=True, kw_only=True):
    """The tasks of a method, when framing can start and when the footings may carry their full load.

    ``framing_by`` is how likely framing has started by each working day. ``cold_weather`` says whether the rule for
    pours that may freeze is in the days; null where no start date tells the season. Curing counts working days, the
    later reading, but for full load where there are dates: the first working day seven calendar days after the pour,
    and not before framing; ``full_load_date`` is the date of ``full_load_working_day.likely``.
    """

    tasks: tuple[Task, ...]
    first_framing_working_day: DayRange
    first_framing_date: str | None
    first_framing_dates: DateRange | None = None
    full_load_working_day: DayRange | None = None
    full_load_date: str | None = None
    idle_days: DayRange | None = None
    crew_hours: DayRange | None = None
    cold_weather: bool | None = None
    framing_by: tuple[DayChance, ...] = ()


class Quantity(msgspec.Struct, frozen=True, kw_only=True):
    """An amount of one item; ``paid`` says whether it is paid once a job or for each footing."""

    item: str
    quantity: float
    unit: str
    unit_price: str | None
    extended: Money | None
    paid: Literal["once", "each"] = "each"


class CostPart(msgspec.Struct, frozen=True, kw_only=True):
    """One part of a method's cost, and how it was reckoned; the parts add up to it.

    ``part`` is ``goods``, ``concrete``, ``rental``, ``services``, ``fees``, ``labour`` or ``crew_days``.
    """

    part: str
    cost: MoneyRange
    text: str


class Supply(msgspec.Struct, frozen=True, kw_only=True):
    """One way to have a method's concrete, worked out: in bags or by the truck."""

    supply: str
    cost: MoneyRange | None
    first_framing_working_day: DayRange | None
    chosen: bool


class MethodComparison(msgspec.Struct, frozen=True, kw_only=True):
    """One footing method worked out for the same posts and loads.

    ``verdict`` is the worse of the method's own and that of the deck without its footings; ``feasible`` is the
    method's alone. ``checks`` holds the worst footing's finding of each check; ``supply`` how its concrete comes, null
    for none.
    """

    method: str
    feasible: bool
    why_not: tuple[CodedText, ...]
    footings: tuple[Footing, ...]
    quantities: tuple[Quantity, ...]
    cost: MoneyRange | None
    schedule: Schedule | None
    risks: tuple[Risk, ...]
    verdict: Status = "prescriptive"
    checks: tuple[Finding, ...] = ()
    supply: str | None = None
    supplies: tuple[Supply, ...] = ()
    cost_parts: tuple[CostPart, ...] = ()


class BreakEven(msgspec.Struct, frozen=True, kw_only=True):
    """Where the best method and the rival that a crew-day's value would put first soonest change places.

    Null where no such value or count is; the working says why. The quicker method stands first.
    """

    methods: tuple[str, str]
    crew_day_value: Money | None
    footing_count: float | None
    working: tuple[Step, ...]


class MethodAtCount(msgspec.Struct, frozen=True, kw_only=True):
    """What a method would cost and take, likely, for a number of footings like these."""

    method: str
    cost: Money
    days: float


class CountRow(msgspec.Struct, frozen=True, kw_only=True):
    """One number of footings, every feasible method with a cost at it, and the one that costs least."""

    footings: int
    methods: tuple[MethodAtCount, ...]
    cheapest: str


class MethodProbability(msgspec.Struct, frozen=True):
    """How likely a method is to be the cheapest: of all that serve, and of those that are the recommended one's equals.

    ``of_equals`` is null for a method that is not taken for its price alone, and where none is recommended.
    """

    method: str
    probability: float
    of_equals: float | None = None


class Flip(msgspec.Struct, frozen=True, kw_only=True):
    """A single input that would turn the recommendation over, all else as it is.

    ``input`` is ``crew_day_value``, ``hourly_rate``, ``unit_price``, ``inspection_wait``, ``cure`` or
    ``footing_count``. ``pointer`` names it in the request, ``item`` in the price book; both null for a duration of the
    schedule and for the number of footings.
    """

    input: str
    pointer: str | None
    item: str | None
    unit: str
    now: float
    at: float
    change_percent: float | None
    to_method: str
    text: str


class CrewTimeCounted(msgspec.Struct, frozen=True, kw_only=True):
    """How the crew's time is counted here, once, and what the other way would count."""

    time_counted: str
    text: str
    other_way: str


class ZoneWidth(msgspec.Struct, frozen=True, kw_only=True):
    """How far from the house the ground was dug up, at one depth below grade."""

    depth_in: float
    width_ft: float


class BesideHouseFooting(msgspec.Struct, frozen=True, kw_only=True):
    """One footing beside the house: what its place means for it at the depth it would have if it was dug.

    Depths are below the ground at the footing, ``distance_ft`` is of its near edge. ``original_ground_depth_in`` is
    how deep undisturbed ground lies under that edge; ``load_line_depth_in`` the least depth at which it stands outside
    the load line of the house footing.
    """

    footing: str
    distance_ft: float
    bottom_depth_in: float
    zone_width_ft: float
    in_fill: bool
    original_ground_depth_in: float
    load_line_depth_in: float


class GroundOption(msgspec.Struct, frozen=True, kw_only=True):
    """One way to deal with the ground beside the house, priced.

    ``cost`` is of the whole deck, ``cost_difference`` against the one answered.
    """

    option: str
    possible: bool
    verdict: Status | None
    footings: int | None
    cost: Money | None
    cost_difference: Money | None
    days: float | None
    because: str


class GroundBesideHouse(msgspec.Struct, frozen=True, kw_only=True):
    """The hole the house was built in, the footings over it, and what can be done."""

    foundation_depth_in: float
    excavation_slope: str
    working_room_in: float
    zone: tuple[ZoneWidth, ...]
    footings: tuple[BesideHouseFooting, ...]
    options: tuple[GroundOption, ...]
    working: tuple[Step, ...]


class FootingComparison(msgspec.Struct, frozen=True, kw_only=True):
    """Footing methods side by side.

    ``probability_error_points`` is the numerical error of every probability here, in percentage points. ``flips``
    stand nearest first. ``ground_beside_house`` is null where no footing stands near enough to matter or the depth
    of the house's foundation is not known.
    """

    methods: tuple[MethodComparison, ...]
    break_even: BreakEven | None
    probability_cheapest: tuple[MethodProbability, ...]
    recommended: str | None
    because: tuple[str, ...]
    by_count: tuple[CountRow, ...] = ()
    probability_error_points: float | None = None
    probability_text: str | None = None
    flips: tuple[Flip, ...] = ()
    crew_time: CrewTimeCounted | None = None
    ground_beside_house: GroundBesideHouse | None = None
