"""What the caller wants of the frame, the foundation, the crew and the calendar."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

import msgspec
from msgspec import Meta

from service.contract.choices import (
    Attachment,
    BeamPlacement,
    BeamSize,
    ConcreteSupply,
    FootingMethod,
    FramingMaterial,
    Grade,
    JoistDirection,
    JoistSize,
    Objective,
    PostSize,
    Species,
    TimeCounted,
)

CurrencyCode = Annotated[str, Meta(pattern=r"^[A-Z]{3}$")]
HourlyRate = Annotated[
    str, Meta(pattern=r"^(1000\.00|[0-9]{1,3}\.[0-9]{2})$", extra={"range": ("0.00", "1000.00")})
]
DayValue = Annotated[
    str, Meta(pattern=r"^(100000\.00|[0-9]{1,5}\.[0-9]{2})$", extra={"range": ("0.00", "100000.00")})
]


class CostCeiling(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The most the order may come to."""

    currency: Annotated[CurrencyCode, Meta(description="ISO 4217 code", examples=["USD"])]
    amount: Annotated[
        str,
        Meta(pattern=r"^[0-9]{1,9}\.[0-9]{2}$", description="Amount with two decimals", examples=["9500.00"]),
    ]


class FramingSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The frame. Null and auto leave the choice to the service; anything else is a pin."""

    attachment: Annotated[
        Attachment, Meta(description="Hang on the house or stand free", examples=["auto"])
    ] = "auto"
    material: Annotated[FramingMaterial, Meta(description="Framing material", examples=["sawn_lumber"])] = (
        "sawn_lumber"
    )
    species: Annotated[Species, Meta(description="Species group", examples=["southern_pine"])] = (
        "southern_pine"
    )
    grade: Annotated[Grade, Meta(description="Visual grade, NDS Supplement", examples=["no_2"])] = "no_2"
    ledger_species: Annotated[
        Species | None,
        Meta(description="Species of the ledger; null: chosen by rule", examples=["southern_pine"]),
    ] = None
    joist_size: Annotated[JoistSize | None, Meta(description="Nominal joist size", examples=["2x10"])] = None
    joist_spacing_in: Annotated[
        Annotated[float, Meta(ge=6, le=24)] | None,
        Meta(description="Joist spacing on centre, inches", examples=[16.0]),
    ] = None
    joist_direction: Annotated[
        JoistDirection, Meta(description="Which way joists run", examples=["auto"])
    ] = "auto"
    beam_size: Annotated[BeamSize | None, Meta(description="Nominal size of one ply", examples=["2x10"])] = (
        None
    )
    beam_plies: Annotated[
        Annotated[int, Meta(ge=1, le=3)] | None, Meta(description="Plies of a beam", examples=[2])
    ] = None
    beam_placement: Annotated[
        BeamPlacement, Meta(description="Beam under the joists or among them", examples=["auto"])
    ] = "auto"
    post_size: Annotated[PostSize | None, Meta(description="Nominal post size", examples=["6x6"])] = None
    one_size: Annotated[
        bool, Meta(description="One nominal depth for joists and beams", examples=[False])
    ] = False
    objective: Annotated[
        Objective, Meta(description="What the best frame has least or most of", examples=["cost"])
    ] = "cost"
    cost_ceiling: Annotated[CostCeiling | None, Meta(description="The most the order may come to")] = None


class FoundationSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How footings are made."""

    method: Annotated[FootingMethod, Meta(description="Footing method", examples=["auto"])] = "auto"
    concrete_supply: Annotated[
        ConcreteSupply, Meta(description="How concrete comes to the site", examples=["auto"])
    ] = "auto"
    pier_diameter_in: Annotated[
        Annotated[float, Meta(ge=8, le=48)] | None,
        Meta(description="Pier diameter, inches; null: chosen", examples=[12.0]),
    ] = None


class CrewSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The crew and what its time is worth."""

    currency: Annotated[CurrencyCode, Meta(description="ISO 4217 code", examples=["USD"])]
    size: Annotated[int, Meta(ge=1, le=20, description="People in the crew", examples=[3])] = 3
    hourly_rate: Annotated[
        HourlyRate | None,
        Meta(description="Pay of one person an hour, 0.00 to 1000.00", examples=["48.00"]),
    ] = None
    crew_day_value: Annotated[
        DayValue | None,
        Meta(description="Worth of a day of the crew, 0.00 to 100000.00", examples=["1450.00"]),
    ] = None
    time_counted: Annotated[
        TimeCounted,
        Meta(description="How crew time is valued", examples=["day_value_includes_wages"]),
    ] = "day_value_includes_wages"


class ScheduleSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """When work may start, and days nobody works."""

    start_date: Annotated[
        dt.date | None, Meta(description="First day of work, 2015 to 2099", examples=["2027-04-05"])
    ] = None
    closed_days: Annotated[
        tuple[dt.date, ...],
        Meta(max_length=366, description="Days off, 2015 to 2099", examples=[["2027-05-31"]]),
    ] = ()
