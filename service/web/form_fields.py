"""What a form may ask for, read off the request type itself: every field with its words, range and default."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any, Literal

import msgspec
from msgspec import inspect

from service.contract.spec import DeckSpec
from service.contract.vocabulary import REGISTRY

FieldKind = Literal[
    "choice", "number", "whole_number", "text", "date", "yes_no", "point", "points", "whole_numbers", "dates",
]  # fmt: skip
UNITS = (
    "in_per_ft", "in", "ft", "psf", "lb", "mph", "years", "deg",
)  # fmt: skip
_KINDS: dict[type[inspect.Type], FieldKind] = {
    inspect.LiteralType: "choice",
    inspect.FloatType: "number",
    inspect.IntType: "whole_number",
    inspect.StrType: "text",
    inspect.DateType: "date",
    inspect.BoolType: "yes_no",
    inspect.TupleType: "point",
}
# a list of single things is one field; a list of parts is the fields of its parts
_LISTS: dict[type[inspect.Type], FieldKind] = {
    inspect.TupleType: "points",
    inspect.IntType: "whole_numbers",
    inspect.DateType: "dates",
}


class Choice(msgspec.Struct, frozen=True, kw_only=True):
    """One word a field takes, how to label it, and whether the place named allows it."""

    value: str
    label: str
    help: str
    allowed_here: bool


class FormField(msgspec.Struct, frozen=True, kw_only=True):
    """One field of a deck spec; ``[]`` in its path stands for an entry of a list.

    A point is x and y in feet; the least and the greatest then hold for each of the two, and for each entry
    of a list. The lengths are those of a text in characters, or of a list in entries.
    """

    path: str
    label: str
    help: str
    kind: FieldKind
    unit: str | None
    required: bool
    default: float | str | bool | tuple[float, ...] | None
    minimum: float | None
    maximum: float | None
    min_length: int | None
    max_length: int | None
    pattern: str | None
    choices: tuple[Choice, ...]


@cache
def form_fields() -> tuple[FormField, ...]:
    """Return every field of a deck spec, in its own order.

    >>> [field.path for field in form_fields()][:3]
    ['reference', 'jurisdiction', 'rulebook']
    """
    return tuple(_fields(inspect.type_info(DeckSpec), ""))


def label(word: str) -> str:
    """Return a word of the wire as a form shows it.

    >>> label("floor_joist_direction"), label("2x10")
    ('Floor joist direction', '2x10')
    """
    text = word.replace("_", " ")
    return text[:1].upper() + text[1:]


def unit_of(name: str) -> str | None:
    """Return the unit a field's name ends with.

    >>> unit_of("grade_fall_x_in_per_ft"), unit_of("stairs")
    ('in_per_ft', None)
    """
    return next((unit for unit in UNITS if name.endswith(f"_{unit}")), None)


def _fields(struct: inspect.Type, path: str) -> Iterator[FormField]:
    if not isinstance(struct, inspect.StructType):
        return
    for field in struct.fields:
        at = f"{path}.{field.encode_name}".lstrip(".")
        kind, help_text = _settled(field.type)
        if isinstance(kind, inspect.StructType):
            yield from _fields(kind, at)
        elif not isinstance(kind, inspect.VarTupleType):
            yield _field(field, kind, _KINDS[type(kind)], at, help_text)
        else:
            item, _ = _settled(kind.item_type)
            if isinstance(item, inspect.StructType):
                yield from _fields(item, f"{at}[]")
            else:
                yield _field(field, kind, _LISTS[type(item)], at, help_text)


def _settled(info: inspect.Type) -> tuple[inspect.Type, str]:
    """The type under its annotations and its null, and the first description found."""
    help_text = ""
    while isinstance(info, inspect.Metadata | inspect.UnionType):
        if isinstance(info, inspect.UnionType):
            info = next(one for one in info.types if not isinstance(one, inspect.NoneType))
        else:
            help_text = help_text or str((info.extra_json_schema or {}).get("description", ""))
            info = info.type
    return info, help_text


def _number(kind: inspect.Type) -> inspect.Type:
    """What a list holds, and of a point its first coordinate: the type that has the range."""
    if isinstance(kind, inspect.VarTupleType):
        return _number(_settled(kind.item_type)[0])
    return _settled(kind.item_types[0])[0] if isinstance(kind, inspect.TupleType) else kind


def _field(field: inspect.Field, kind: Any, form: FieldKind, at: str, help_text: str) -> FormField:
    name = field.encode_name
    unit = unit_of(name)
    bare = name.removesuffix(f"_{unit}") if unit else name
    return FormField(
        path=at,
        label=label(bare),
        help=help_text,
        kind=form,
        unit=unit,
        required=field.required,
        default=None if field.required or field.default is msgspec.NODEFAULT else field.default,
        minimum=getattr(_number(kind), "ge", None),
        maximum=getattr(_number(kind), "le", None),
        min_length=getattr(kind, "min_length", None),
        max_length=getattr(kind, "max_length", None),
        pattern=getattr(kind, "pattern", None),
        choices=_choices(kind, at),
    )


def _choices(kind: inspect.Type, at: str) -> tuple[Choice, ...]:
    if not isinstance(kind, inspect.LiteralType):
        return ()
    helps = _meanings(re.sub(r"\[\]", "", at))
    return tuple(
        Choice(value=str(word), label=label(str(word)), help=helps.get(str(word), ""), allowed_here=True)
        for word in _in_order(kind, helps)
    )


def _in_order(kind: inspect.LiteralType, helps: dict[str, str]) -> list[Any]:
    order = list(helps)
    return sorted(kind.values, key=lambda word: order.index(word) if word in order else len(order))


# fields that take the words of another field
_SAME_WORDS = {
    "house.edge_walls.wall": "house.wall",
    "house.edge_walls.foundation_wall": "house.foundation_wall",
    "framing.ledger_species": "framing.species",
}


def _meanings(path: str) -> dict[str, str]:
    words = REGISTRY.get(_SAME_WORDS.get(path, path))
    return {word.code: word.meaning for word in words.words} if words else {}
