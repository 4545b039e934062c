"""A supplier's section table: the second table of a price book's text, one section a line, read strictly."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Final, NamedTuple, get_args

from service.contract.price_sections import (
    OF_STEEL,
    OF_WOOD,
    RANGES,
    STEEL_E_PSI,
    STEEL_PROTECTIONS,
    WOOD_E_PSI,
    WOOD_PROTECTIONS,
    Protection,
    SectionMaterial,
    SectionService,
    SectionUse,
)
from service.contract.problem import Allowed
from service.rules.price_cells import COLUMN_READERS, Reader, Unusable, shown

WOOD: Final = "laminated_veneer_lumber"
STEEL: Final = "light_gauge_steel"
_NAME = re.compile(r"[a-z0-9][a-z0-9-]{2,39}")
_NUMBER = re.compile(r"(0|[1-9][0-9]{0,8})(\.[0-9]{1,6})?")


@dataclass(frozen=True)
class SupplierSection:
    """One section with its allowable values, as they hold in the service named; no further factor is put on them."""

    section: str
    material: SectionMaterial
    use: SectionUse
    depth_in: float
    width_in: float
    weight_plf: float
    service: SectionService
    protection: Protection
    most_plies: int
    fb_psi: float | None
    fv_psi: float | None
    fc_perp_psi: float | None
    e_psi: float
    inertia_in4: float | None
    allowable_moment_lb_ft: float | None
    allowable_shear_lb: float | None
    allowable_reaction_lb: float | None
    reaction_bearing_in: float | None
    item: str
    source: str

    def used_as(self, use: SectionUse) -> bool:
        """Return whether it may be a joist, or a beam."""
        return self.use in (use, "both")


SECTION_EXAMPLE = SupplierSection(
    section="lvl-1-3-4x9-1-4-1-7e", material="laminated_veneer_lumber", use="both", depth_in=9.25, width_in=1.75,
    weight_plf=5.1, service="wet", protection="uc4a", most_plies=3, fb_psi=1950.0, fv_psi=205.0, fc_perp_psi=480.0,
    e_psi=1_700_000.0, inertia_in4=None, allowable_moment_lb_ft=None, allowable_shear_lb=None,
    allowable_reaction_lb=None, reaction_bearing_in=None,
    item="laminated_veneer_lumber.1-3-4x9-1-4.1_7e.uc4a", source="Invented section table of an example yard",
)  # fmt: skip
SECTION_COLUMNS = tuple(one.name for one in fields(SupplierSection))


def _number(column: str) -> Reader:
    least, most = RANGES[column]

    def read(text: str) -> float:
        if not _NUMBER.fullmatch(text):
            raise Unusable(f"{shown(text)} is no number from {least:,g} to {most:,g}")
        value = float(text)
        if not least <= value <= most:
            detail = f"{text} is not within {least:,.10g} to {most:,.10g}"
            raise Unusable(detail, "out_of_range", Allowed(min=least, max=most))
        return value

    return read


def _plies(text: str) -> int:
    if text not in ("1", "2", "3"):
        raise Unusable(f"{shown(text)} is not 1, 2 or 3", "out_of_range", Allowed(min=1.0, max=3.0))
    return int(text)


def _word(words: tuple[str, ...]) -> Reader:
    def read(text: str) -> str:
        if text not in words:
            detail = f"{shown(text)} is none of {', '.join(words)}"
            raise Unusable(detail, "not_in_list", Allowed(one_of=words))
        return text

    return read


def _name(text: str) -> str:
    if not _NAME.fullmatch(text):
        detail = f"{shown(text)} is no section: 3 to 40 small letters, digits and hyphens"
        raise Unusable(detail, allowed=Allowed(pattern=f"^{_NAME.pattern}$"))
    return text


def _optional(reader: Reader) -> Reader:
    return lambda text: reader(text) if text else None


SECTION_READERS: Mapping[str, Reader] = {
    "section": _name,
    "material": _word(get_args(SectionMaterial)),
    "use": _word(get_args(SectionUse)),
    "depth_in": _number("depth_in"),
    "width_in": _number("width_in"),
    "weight_plf": _number("weight_plf"),
    "service": _word(get_args(SectionService)),
    "protection": _word(get_args(Protection)),
    "most_plies": lambda text: _plies(text or "1"),
    **{column: _optional(_number(column)) for column in OF_WOOD},
    "e_psi": _number("e_psi"),
    **{column: _optional(_number(column)) for column in OF_STEEL},
    "item": COLUMN_READERS["item"],
    "source": COLUMN_READERS["description"],
}


def section_cell(value: object) -> str:
    """Return a value as its cell is written: whole numbers without a point, fractions without noughts behind.

    >>> section_cell(9.25), section_cell(1_700_000.0), section_cell(None), section_cell(2)
    ('9.25', '1700000', '', '2')
    """
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.6f}".rstrip("0").rstrip(".")
    return str(value)


class SectionFault(NamedTuple):
    """What is wrong with a section beside the others, or with its cells beside each other."""

    number: int
    column: str
    text: str
    code: str


def section_faults(
    sections: Iterable[tuple[int, SupplierSection]], items: Collection[str] | None
) -> Iterator[SectionFault]:
    """Find what no cell shows alone.

    Args:
        sections: each with the number it is known by to whoever sent it
        items: item codes that have price lines; None where those could not all be read
    """
    seen: dict[str, int] = {}
    for number, one in sections:
        before = seen.setdefault(one.section, number)
        if before != number:
            text = f"{one.section} stands on row {before} already"
            yield SectionFault(number, "section", text, "duplicate_line")
        for column, text, code in (*_of_material(one), *_of_item(one, items)):
            yield SectionFault(number, column, text, code)


def _of_material(one: SupplierSection) -> Iterator[tuple[str, str, str]]:
    wood = one.material == WOOD
    needed, strange = (OF_WOOD, OF_STEEL) if wood else (OF_STEEL, OF_WOOD)
    for column in needed:
        if getattr(one, column) is None:
            yield column, f"a section of {one.material} needs it", "missing"
    for column in strange:
        if getattr(one, column) is not None:
            yield (
                column,
                f"a section of {one.material} has no such value: leave it empty",
                "unit_not_for_item",
            )
    least, most = WOOD_E_PSI if wood else STEEL_E_PSI
    if not least <= one.e_psi <= most:
        text = f"{one.e_psi:,.0f} is not within {least:,.0f} to {most:,.0f} of {one.material}"
        yield "e_psi", text, "out_of_range"
    known = WOOD_PROTECTIONS if wood else STEEL_PROTECTIONS
    if one.protection not in known:
        yield "protection", f"{one.material} has one of {', '.join(known)}", "not_in_list"
    if not wood and one.most_plies > 1:
        yield "most_plies", "light-gauge sections stand alone: 1", "out_of_range"
    if one.width_in > one.depth_in:
        yield "width_in", f"{one.width_in:g} in is more than the depth, {one.depth_in:g} in", "out_of_range"


def _of_item(one: SupplierSection, items: Collection[str] | None) -> Iterator[tuple[str, str, str]]:
    if one.item.partition(".")[0] != one.material:
        yield "item", f"the item of a section of {one.material} is of that kind", "not_in_list"
    elif items is not None and one.item not in items:
        yield "item", f"no line gives a price of {one.item}", "not_in_list"
