"""The settings of a rulebook: our conventions and the look-up forms an edition asks for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

import msgspec

from service.rules.table import Table, Value

Positive = Annotated[float, msgspec.Meta(gt=0, le=1000)]
Ratio = Annotated[float, msgspec.Meta(gt=0, le=2)]
# Price books by id and version, a blank between them.
BookNames = Annotated[
    str,
    msgspec.Meta(
        pattern=r"^([a-z0-9][a-z0-9-]*@[1-9][0-9]*( [a-z0-9][a-z0-9-]*@[1-9][0-9]*)*)?$", max_length=400
    ),
]

JoistCantileverRule = Literal["with_cantilever_column", "column_and_quarter", "by_back_span"]
BeamLookupRule = Literal["next_column", "factored_span", "span_and_cantilever_pair"]
LedgerLookupRule = Literal["next_band", "interpolated"]
PostTableRule = Literal["single_row", "by_plies", "by_tributary_area"]
OwnWeightRule = Literal["gross", "base", "full", "net_of_soil"]

# The rest follow from how the edition's own tables are printed; no local setting can change that.
LOCAL_SETTINGS = (
    "own_weight_rule",
    "accept_tributary_interior_beams",
    "freestanding_footings_to_frost",
    "freestanding_post_limit_in",
    "nominal_lateral_ratio",
    "calculated_engineer_ratio",
    "dead_load_psf",
    "adopts_guide",
    "pier_blocks_carry_beams",
    "section_tables_named",
)


class Settings(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Settings in force. ``guard_height_in`` is the rulebook's own limit row, repeated here.

    ``pier_blocks_carry_beams`` is a place's own: whether its exception for low decks on blocks takes frames with beams.
    No published rulebook has a row of it, and then it is no. ``section_tables_named`` are the price books whose tables
    of laminated veneer lumber and light-gauge steel a place has accepted; no published rulebook names any.
    """

    joist_cantilever_rule: JoistCantileverRule
    beam_lookup_rule: BeamLookupRule
    ledger_lookup_rule: LedgerLookupRule
    post_table_rule: PostTableRule
    footing_table: bool
    own_weight_rule: OwnWeightRule
    accept_tributary_interior_beams: bool
    freestanding_footings_to_frost: bool
    freestanding_post_limit_in: Positive
    nominal_lateral_ratio: Ratio
    calculated_caution_ratio: Ratio
    calculated_engineer_ratio: Ratio
    snow_table_max_psf: Positive
    dead_load_psf: Positive
    max_joist_span_in: Positive
    beam_overhang_ratio: Ratio
    adopts_guide: bool
    post_table_max_height_in: Positive
    guard_height_in: Positive
    pier_blocks_carry_beams: bool = False
    section_tables_named: BookNames = ""

    def names_sections_of(self, book: str | None) -> bool:
        """Return whether the section tables of a price book, by id and version, are accepted."""
        return book is not None and book in self.section_tables_named.split()


_TYPES = {known.name: known.type for known in msgspec.structs.fields(Settings)}


def local_setting_fault(key: str, value: object) -> str | None:
    """Return what is wrong with a local setting, or None.

    >>> local_setting_fault("own_weight_rule", "gross") is None
    True
    """
    if key not in LOCAL_SETTINGS:
        return f"no local setting; known are {', '.join(LOCAL_SETTINGS)}"
    try:
        msgspec.convert(value, _TYPES[key])
    except msgspec.ValidationError as error:
        return str(error)
    if key == "calculated_engineer_ratio" and isinstance(value, (int, float)) and value < 1:
        return "Expected `float` >= 1: what passes is no caution"
    return None


def setting_cell(value: object) -> Value:
    """Return a setting as a table cell: yes and no are words there.

    >>> setting_cell(True), setting_cell(72), setting_cell("gross")
    ('yes', 72.0, 'gross')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    return float(value) if isinstance(value, (int, float)) else str(value)


def read_settings(table: Table, guard_height_in: Value) -> Settings:
    """Return the typed settings of a settings table; raises ``msgspec.ValidationError`` naming the key."""
    words: Mapping[str, object] = {"yes": True, "no": False}
    given = {str(table.cell(row, "key")): table.cell(row, "value") for row in range(len(table.rows))}
    typed = {
        key: words.get(value, value) if isinstance(value, str) else value for key, value in given.items()
    }
    return msgspec.convert({**typed, "guard_height_in": guard_height_in}, Settings)
