"""The declared kinds of rule table: columns, types, units, keys, and the safe side of a suspect row."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

ColumnType = Literal["number", "text", "mixed", "word", "source_id", "verified", "status", "flag"]
Safer = Literal["smaller", "larger"]

VERIFIED_STATUS: Mapping[str, str] = {
    "two sources": "two_sources", "one source": "one_source", "from memory": "memory",
}  # fmt: skip
STATUSES = ("two_sources", "one_source", "second_hand", "memory", "common_practice", "own_convention")
NOT_PERMITTED, SUSPECT, CORRECTED = "NP", "suspect", "misprint_corrected"
FLAGS = (NOT_PERMITTED, SUSPECT, CORRECTED)

UNIT_SUFFIXES = ("in", "ft", "psf", "sqft", "lb")
NUMBERS_WITHOUT_UNIT = ("plies", "cantilever_to_span_ratio", "joist_span_factor", "likely_joist_span_factor")
# What a value of a table may be at most, by its unit, far above every published one; each is above 0.
MOST: Mapping[str, float] = {"in": 1200.0, "-": 2.0}
LONGEST_SPAN_IN = 600.0
COLUMN_TYPES: Mapping[str, ColumnType] = {
    "key": "word", "value": "mixed", "source_id": "source_id", "verified": "verified", "status": "status",
    "flag": "flag",
}  # fmt: skip


@dataclass(frozen=True)
class Column:
    """One column: its name, type, the unit its units row must print, and whether a cell may be blank.

    ``most`` is the greatest value a design may read from it; null for columns that are no such values.
    """

    name: str
    type: ColumnType
    unit: str
    optional: bool
    most: float | None = None


def _column(name: str, optional: frozenset[str]) -> Column:
    suffix = re.search(r"_([a-z]+)$", name)
    if suffix and suffix[1] in UNIT_SUFFIXES:
        return Column(name, "number", suffix[1], name in optional)
    if name in NUMBERS_WITHOUT_UNIT:
        return Column(name, "number", "-", name in optional)
    kind = COLUMN_TYPES.get(name, "text")
    return Column(name, kind, "-" if kind == "mixed" else "text", name in optional)


def _value_column(name: str, optional: frozenset[str]) -> Column:
    column = _column(name, optional)
    spans = column.unit == "in" and "span" in name
    return replace(column, most=LONGEST_SPAN_IN if spans else MOST[column.unit])


@dataclass(frozen=True)
class TableKind:
    """A kind of table.

    ``key`` names a row; ``safer`` gives, for each column a design reads, the direction that is safe when the
    printed value and the likely one differ. Every group of rows must have the same values ``along`` its last
    key columns, so that a row left out is noticed.
    """

    name: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    safer: Mapping[str, Safer] = field(default_factory=dict)
    along: tuple[str, ...] = ()

    @cached_property
    def position(self) -> Mapping[str, int]:
        """Column name to its place in a row."""
        return {column.name: place for place, column in enumerate(self.columns)}

    @cached_property
    def likely(self) -> Mapping[str, str]:
        """Value column to the column with its likely value, where there is one."""
        return {c: f"likely_{c}" for c in self.safer if f"likely_{c}" in self.position}


def _kind(
    name: str,
    columns: str,
    key: str,
    optional: str = "",
    smaller: str = "",
    larger: str = "",
    along: str = "",
) -> TableKind:
    may_be_blank = frozenset(optional.split())
    safer: dict[str, Safer] = dict.fromkeys(smaller.split(), "smaller")
    safer.update(dict.fromkeys(larger.split(), "larger"))
    return TableKind(
        name=name,
        columns=tuple(
            (_value_column if c.removeprefix("likely_") in safer else _column)(c, may_be_blank)
            for c in columns.split()
        ),
        key=tuple(key.split()),
        safer=safer,
        along=tuple(along.split()),
    )


_POST_COLUMNS = "load_psf load_kind species_group post_size tributary_area_sqft max_height_in flag source_id"
_POST_KEY = "load_psf species_group post_size tributary_area_sqft"
_LIMIT_COLUMNS = "key section item value unit limit source verified note"

_ALL = (
    _kind("sources", "source_id source verified cross_check note printed", "source_id", "cross_check note"),
    _kind("settings", "key value unit status source note", "key", "unit note"),
    _kind(
        "joist_spans",
        "load_psf load_kind species_group nominal_size spacing_in max_span_in max_span_with_cantilever_in "
        "max_cantilever_in source_id",
        "load_psf species_group nominal_size spacing_in",
        "max_span_with_cantilever_in max_cantilever_in",
        smaller="max_span_in max_span_with_cantilever_in max_cantilever_in",
        along="spacing_in",
    ),
    _kind(
        "joist_cantilevers",
        "load_psf load_kind species_group nominal_size joist_back_span_ft max_cantilever_in flag source_id",
        "load_psf species_group nominal_size joist_back_span_ft",
        "flag",
        smaller="max_cantilever_in",
        along="joist_back_span_ft",
    ),
    _kind(
        "beam_spans",
        "load_psf load_kind species_group plies nominal_size joist_span_ft joist_cantilever_ft "
        "joist_span_basis max_beam_span_in flag source_id likely_max_beam_span_in printed_text",
        "load_psf species_group plies nominal_size joist_span_ft joist_cantilever_ft",
        "joist_cantilever_ft flag likely_max_beam_span_in printed_text",
        smaller="max_beam_span_in",
        along="joist_span_ft joist_cantilever_ft",
    ),
    _kind(
        "beam_joist_span_factors",
        "cantilever_to_span_ratio joist_span_factor source_id flag likely_joist_span_factor",
        "cantilever_to_span_ratio",
        "flag likely_joist_span_factor",
        larger="joist_span_factor",
    ),
    _kind(
        "post_heights",
        _POST_COLUMNS,
        _POST_KEY,
        "tributary_area_sqft flag",
        smaller="max_height_in",
        along="tributary_area_sqft",
    ),
    _kind(
        "post_heights_live_60",
        _POST_COLUMNS,
        _POST_KEY,
        "flag",
        smaller="max_height_in",
        along="tributary_area_sqft",
    ),
    _kind(
        "footing_sizes",
        "load_psf load_kind tributary_area_sqft soil_bearing_psf soil_bound square_side_in round_diameter_in "
        "thickness_in flag source_id likely_round_diameter_in likely_thickness_in",
        "load_psf tributary_area_sqft soil_bearing_psf",
        "soil_bound flag likely_round_diameter_in likely_thickness_in",
        larger="square_side_in round_diameter_in thickness_in",
        along="tributary_area_sqft soil_bearing_psf",
    ),
    _kind(
        "ledger_fasteners",
        "load_psf load_kind fastener max_sheathing_in joist_span_ft spacing_oc_in source_id",
        "load_psf fastener max_sheathing_in joist_span_ft",
        smaller="spacing_oc_in",
        along="joist_span_ft",
    ),
    _kind(
        "ledger_placement",
        "member dimension min_in max_in source verified note",
        "member dimension",
        "min_in max_in note",
        smaller="max_in",
        larger="min_in",
    ),
    _kind(
        "decking_joist_spacing",
        "decking orientation board_span_class max_joist_spacing_in source_id",
        "decking orientation board_span_class",
        smaller="max_joist_spacing_in",
        along="board_span_class",
    ),
    _kind("stair_and_guard_limits", _LIMIT_COLUMNS, "key", "unit note"),
    _kind("loads_and_soil", _LIMIT_COLUMNS, "key", "unit note"),
    _kind(
        "connection_rules",
        "key section topic requirement value unit source verified note",
        "key",
        "unit note",
    ),
    _kind(
        "dca6_joist_spans",
        "dca6_edition species_group nominal_size spacing_in max_clear_span_in max_overhang_in source "
        "verified cross_check note",
        "species_group nominal_size spacing_in",
        "cross_check note",
        smaller="max_clear_span_in max_overhang_in",
        along="spacing_in",
    ),
    _kind(
        "dca6_beam_spans",
        "dca6_edition species_group plies nominal_size joist_span_ft max_clear_beam_span_in source verified "
        "cross_check note",
        "species_group plies nominal_size joist_span_ft",
        "cross_check note",
        smaller="max_clear_beam_span_in",
        along="joist_span_ft",
    ),
    _kind(
        "dca6_ledger_fasteners",
        "dca6_edition fastener band joist_span_max_ft spacing_oc_in source verified note",
        "fastener band joist_span_max_ft",
        "note",
        smaller="spacing_oc_in",
        along="joist_span_max_ft",
    ),
    _kind("dca6_limits", "key topic item value unit source verified note", "key", "unit note"),
)
KINDS: Mapping[str, TableKind] = {kind.name: kind for kind in _ALL}
LIMIT_TABLES = ("stair_and_guard_limits", "loads_and_soil", "connection_rules", "dca6_limits")
GUIDE_TABLES = ("dca6_joist_spans", "dca6_beam_spans", "dca6_ledger_fasteners", "dca6_limits")
CODE_TABLES = (
    "sources", "settings", "joist_spans", "beam_spans", "post_heights", "ledger_fasteners",
    "ledger_placement", "decking_joist_spacing", "stair_and_guard_limits", "loads_and_soil",
    "connection_rules",
)  # fmt: skip

_FIR = frozenset({"douglas_fir_larch", "hem_fir", "spruce_pine_fir"})
_CEDAR = frozenset({"redwood", "western_cedar", "ponderosa_pine", "red_pine"})
_PINE = frozenset({"southern_pine"})
SPECIES_GROUPS: Mapping[str, frozenset[str]] = {
    "southern_pine": _PINE,
    "douglas_fir_larch_hem_fir_spruce_pine_fir": _FIR,
    "redwood_western_cedars_ponderosa_red_pine": _CEDAR,
    "df_hf_spf_and_redwood_cedar_ponderosa_red_pine": _FIR | _CEDAR,
    "any": _PINE | _FIR | _CEDAR,
}
