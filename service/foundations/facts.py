"""Figures, sizes and durations of the footing methods, parsed strictly from the text of their tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal

import msgspec

from service.rules.faults import TableFault, TableRefused
from service.rules.struct_rows import NotNegative, Positive, Source, Status, Word, struct_rows
from service.units.citation import Citation
from service.units.working import Step

LEAST_PROJECTION_IN = 2.0  # R403.1.1: a footing stands out this far at least past what stands on it
Unit = Literal[
    "in",
    "ft",
    "psf",
    "pcf",
    "lb",
    "deg",
    "ratio",
    "percent",
    "sqin",
    "cuft",
    "cuyd",
    "hours",
    "each",
    "month",
]
Steps = Annotated[str, msgspec.Meta(pattern=r"^([A-Z][0-9]+[a-z]?(;[A-Z][0-9]+[a-z]?)*)?$")]
NumberList = Annotated[str, msgspec.Meta(pattern=r"^[0-9.]+(;[0-9.]+)*$")]


@cache
def numbers(listed: NumberList) -> tuple[float, ...]:
    """Return the numbers of a cell that lists several, in any unit.

    Source: form of the tables here.

    Args:
        listed: numbers with semicolons between them.

    >>> numbers("10;12;14")
    (10.0, 12.0, 14.0)
    """
    return tuple(float(text) for text in listed.split(";"))


class Figure(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One named number with its unit and where it came from."""

    key: Word
    value: NotNegative
    unit: Unit
    status: Status
    source: Source

    @property
    def citation(self) -> Citation:
        """The citation of the figure."""
        return Citation(document=self.source, section=self.key.replace("_", " "), status=self.status)

    def step(self, symbol: str) -> Step:
        """Return the figure as a step of a working."""
        return Step(symbol, self.value, None, self.unit, self.source)


class Tube(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A tube form that is sold."""

    diameter_in: Positive
    status: Status
    source: Source


class Shaft(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A pile shaft with its torque factor and its ratings."""

    shaft: Word
    outside_in: Positive
    kt_per_ft: Positive
    kt_status: Status
    kt_source: Source
    torque_rating_ft_lb: Positive
    allowable_lb: Positive
    status: Status
    source: Source


class HelixArea(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The area a helix bears on, its shaft taken off."""

    shaft: Word
    helix_in: Positive
    net_sqft: Positive
    status: Status
    source: Source


class Layout(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A choice of helices on one shaft, smallest first."""

    layout: Word
    helices_in: NumberList
    status: Status
    source: Source

    @property
    def helices(self) -> tuple[float, ...]:
        """Helix diameters from the toe up, in."""
        return numbers(self.helices_in)


class BellForm(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A form that widens a tube into a bell: a rim, a cone on it, and the tubes that fit the cone's top."""

    base_in: Positive
    rim_in: Positive
    side_deg: Annotated[float, msgspec.Meta(ge=45, lt=90)]
    tubes_in: NumberList
    status: Status
    source: Source

    @property
    def tubes(self) -> tuple[float, ...]:
        """Diameters of the tubes it takes, in."""
        return numbers(self.tubes_in)


class PierBlock(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A precast block that is set on the ground: its square base, what fits its top, what it may carry."""

    base_in: Positive
    height_in: Positive
    seats: Annotated[str, msgspec.Meta(pattern=r"^[0-9a-z]+(;[0-9a-z]+)*$")]
    allowable_lb: Positive
    stone_in: Positive
    status: Status
    source: Source

    def takes(self, seat: str) -> bool:
        """Return whether a post or a beam of this word fits its top."""
        return seat in self.seats.split(";")


class TaskRow(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A task of a method: days for the whole job, hours for one footing, each low, likely and high.

    Tasks with the same ``cause`` tend to run late together; without one a task's luck is its own.
    """

    method: Word
    step: Steps
    task: Word
    after: Steps
    who: Literal["crew", "installer", "wait"]
    before_framing: Literal["yes", "no"]
    only_with: Annotated[str, msgspec.Meta(pattern=r"^[a-z_]*$")]
    cause: Literal["", "weather", "inspection"]
    days_low: NotNegative
    days_likely: NotNegative
    days_high: NotNegative
    hours_low: NotNegative
    hours_likely: NotNegative
    hours_high: NotNegative
    status: Status
    source: Source

    @property
    def days(self) -> tuple[float, float, float]:
        """Low, likely and high working days at the reference count and crew."""
        return (self.days_low, self.days_likely, self.days_high)

    @property
    def hours(self) -> tuple[float, float, float]:
        """Low, likely and high labour hours for one footing."""
        return (self.hours_low, self.hours_likely, self.hours_high)

    @property
    def predecessors(self) -> tuple[str, ...]:
        """The steps this one comes after."""
        return tuple(self.after.split(";")) if self.after else ()


# Compared by identity, so that what follows from the facts alone can be kept beside them.
@dataclass(frozen=True, eq=False)
class FoundationFacts:
    """Everything the footing methods know that is not in a rulebook."""

    figures: Mapping[str, Figure]
    tubes: tuple[Tube, ...]
    shafts: tuple[Shaft, ...]
    helix_areas: Mapping[tuple[str, float], float]
    layouts: tuple[Layout, ...]
    tasks: tuple[TaskRow, ...]
    bell_forms: tuple[BellForm, ...]
    pier_blocks: tuple[PierBlock, ...]

    def value(self, key: str) -> float:
        """Return a figure's number by its key; the tables are checked for every key when parsed."""
        return self.figures[key].value


# Methods whose footings stand in holes: how long one takes to dig hangs on its size.
DUG = ("tube_form_pier", "pad_and_pier", "belled_pier", "post_on_buried_pad")
FIGURES = frozenset(
    {
        "tube_largest_shaft", "base_largest", "anchor_edge",
        "pedestal_height_ratio", "house_footing_projection", "working_room", "slope_stable_rock",
        "slope_type_a", "slope_type_b", "slope_type_c", "near_house", "load_line", "frost_grip", "frost_grip_steel",
        "bar_share", "bar_area", "bars_least", "bar_cover", "post_embedment",
        "pile_safety", "pile_embedment", "helix_spacing", "pile_toe", "helix_bearing_factor",
        "cohesion_of_bearing", "rig_width", "obstruction_margin", "working_day", "schedule_footings",
        "schedule_crew", "installer_crew", "cold_frost_depth", "cold_first_month", "cold_last_month",
        "slight_cold_frost_depth", "slight_cold_first_month", "slight_cold_last_month", "deep_cold_frost_depth",
        "deep_cold_first_month", "deep_cold_last_month", "weather_correlation", "inspection_correlation",
        "dig_share_least", *(f"dig_{size}_{method}" for size in ("depth", "width") for method in DUG),
    }
)  # fmt: skip
KEYS: Mapping[str, tuple[type[msgspec.Struct], tuple[str, ...]]] = {
    "figures": (Figure, ("key",)),
    "tube_sizes": (Tube, ("diameter_in",)),
    "pile_shafts": (Shaft, ("shaft",)),
    "helix_areas": (HelixArea, ("shaft", "helix_in")),
    "pile_layouts": (Layout, ("layout",)),
    "schedule": (TaskRow, ("method", "step", "only_with")),
    "bell_forms": (BellForm, ("base_in",)),
    "pier_blocks": (PierBlock, ("base_in",)),
}


def parse_facts(texts: Mapping[str, str]) -> FoundationFacts:
    """Return the facts of the footing methods from the texts of their tables by name.

    Every fault of every table is gathered before the set is refused. Source: each row names its own; units
    stand in the column names, as ``_in``, or in the column ``unit``.

    Args:
        texts: text of each table of ``KEYS``: ``{"figures": ..., "schedule": ...}``, CSV with a header line.

    Raises:
        TableRefused: a table is missing or unknown, a column is unknown or missing, a cell is not of its
            type, a key is given twice, a figure is missing, or a task follows one that does not exist.

    >>> try:
    ...     parse_facts({"figures": "key,value"})
    ... except TableRefused as refused:
    ...     print(refused.faults[0])
    figures.csv:1: the columns are key,value; they must be key,value,unit,status,source
    """
    faults: list[TableFault] = []
    for name in sorted(set(texts) ^ set(KEYS)):
        faults.append(TableFault(f"{name}.csv", 1, None, "unknown table" if name in texts else "missing"))
    rows = {
        name: struct_rows(f"{name}.csv", texts[name], *kind, faults)
        for name, kind in KEYS.items()
        if name in texts
    }
    # Rows that could not be read would only breed faults that are not there.
    if not faults:
        _check_set(rows, faults)
    if faults:
        raise TableRefused(sorted(faults, key=lambda fault: (fault.file != "figures.csv", fault.file)))
    return _facts(rows)


def _facts(rows: Mapping[str, Sequence[Any]]) -> FoundationFacts:
    return FoundationFacts(
        figures={row.key: row for row in rows["figures"]},
        tubes=tuple(sorted(rows["tube_sizes"], key=lambda tube: tube.diameter_in)),
        shafts=tuple(rows["pile_shafts"]),
        helix_areas={(row.shaft, row.helix_in): row.net_sqft for row in rows["helix_areas"]},
        layouts=tuple(rows["pile_layouts"]),
        tasks=tuple(rows["schedule"]),
        bell_forms=tuple(sorted(rows["bell_forms"], key=lambda form: form.base_in)),
        pier_blocks=tuple(sorted(rows["pier_blocks"], key=lambda block: block.base_in)),
    )


def _check_set(rows: Mapping[str, Sequence[Any]], faults: list[TableFault]) -> None:
    """Faults between rows; rows stand from line 2 on, without blank lines."""
    faults += _figure_faults(rows["figures"])
    faults += _schedule_faults(rows["schedule"])
    faults += _bell_faults(rows["bell_forms"])
    areas = {(row.shaft, row.helix_in) for row in rows["helix_areas"]}
    for line, layout in enumerate(rows["pile_layouts"], start=2):
        for shaft in rows["pile_shafts"]:
            for helix in layout.helices:
                if (shaft.shaft, helix) not in areas:
                    what = f"no area of a {helix:g} in helix on {shaft.shaft}"
                    faults.append(TableFault("pile_layouts.csv", line, "helices_in", what))


def _bell_faults(forms: Sequence[BellForm]) -> list[TableFault]:
    return [
        TableFault("bell_forms.csv", line, "tubes_in", f"a {tube:g} in tube leaves the bell no 2 in each way")
        for line, form in enumerate(forms, start=2)
        for tube in form.tubes
        if tube + 2 * LEAST_PROJECTION_IN > form.base_in
    ]


def _figure_faults(figures: Sequence[Figure]) -> list[TableFault]:
    given = {row.key for row in figures}
    faults = [TableFault("figures.csv", 1, "key", f"{key} is missing") for key in sorted(FIGURES - given)]
    for line, row in enumerate(figures, start=2):
        if row.key not in FIGURES:
            faults.append(TableFault("figures.csv", line, "key", f"unknown figure {row.key}"))
        if row.unit == "month" and row.value not in range(1, 13):
            faults.append(TableFault("figures.csv", line, "value", f"{row.key} is no month, 1 to 12"))
        if row.key.endswith("_correlation") and row.value > 1:
            faults.append(TableFault("figures.csv", line, "value", f"{row.key} is more than 1"))
    return faults


def _schedule_faults(tasks: Sequence[TaskRow]) -> list[TableFault]:
    faults: list[TableFault] = []
    steps: set[tuple[str, str]] = set()
    for line, row in enumerate(tasks, start=2):
        for name, three in (("days_low", row.days), ("hours_low", row.hours)):
            if list(three) != sorted(three):
                faults.append(TableFault("schedule.csv", line, name, f"{row.task} does not rise"))
        for before in row.predecessors:
            if (row.method, before) not in steps:
                what = f"{row.task} comes after {before}, which is no step of {row.method} above it"
                faults.append(TableFault("schedule.csv", line, "after", what))
        steps.add((row.method, row.step))
    return faults
