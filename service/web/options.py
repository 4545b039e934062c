"""GET /v1/options: what a form may offer, in our words."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

import msgspec
from litestar import Request, get
from litestar.params import QueryParameter

from service.contract.problem import Allowed, Fault, Rejected, pointer
from service.rules.jurisdiction import Jurisdiction
from service.rules.price_book import PriceBook
from service.store.errors import NotServed
from service.takeoff.items import GRAMMAR, ItemKind
from service.web.caller import Caller, GivenCaller
from service.web.chosen import choose
from service.web.desk import Desk, GivenDesk
from service.web.form_fields import FormField, form_fields
from service.web.negotiate import JSON, best_type

_NAME = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*(@[1-9][0-9]{0,5})?$"
PlaceQuery = Annotated[
    str | None,
    QueryParameter(
        description="Mark what this jurisdiction does not allow",
        pattern=_NAME,
        min_length=3,
        max_length=47,
        schema_extra={"examples": ["alder-county"]},
    ),
]
BookQuery = Annotated[
    str | None,
    QueryParameter(
        description="List what this price book sells",
        pattern=_NAME,
        min_length=3,
        max_length=47,
        schema_extra={"examples": ["brindlemoor-yard"]},
    ),
]


class NamedPlace(msgspec.Struct, frozen=True, kw_only=True):
    """A jurisdiction that may be chosen."""

    id: str
    name: str


class NamedRulebook(msgspec.Struct, frozen=True, kw_only=True):
    """A rulebook that may be chosen."""

    id: str
    title: str


class NamedPriceBook(msgspec.Struct, frozen=True, kw_only=True):
    """A version of a price book that may be chosen."""

    id: str
    version: int
    currency: str
    effective_from: date
    effective_to: date | None


class ItemForm(msgspec.Struct, frozen=True, kw_only=True):
    """How the item codes of one kind are put together: kind, then attributes, joined by full stops."""

    kind: str
    attributes: tuple[str, ...]
    optional_attributes: tuple[str, ...]
    unit: str
    has_lengths: bool
    example: str


class OfferedItem(msgspec.Struct, frozen=True, kw_only=True):
    """An item the price book sells, with its stock lengths."""

    item: str
    description: str
    unit: str
    lengths_ft: tuple[float, ...]


class OfferedSection(msgspec.Struct, frozen=True, kw_only=True):
    """A section of veneer lumber or light-gauge steel the price book has a table of."""

    section: str
    material: str
    use: str
    depth_in: float
    width_in: float
    item: str


class Options(msgspec.Struct, frozen=True, kw_only=True):
    """What a form may offer."""

    fields: tuple[FormField, ...]
    jurisdictions: tuple[NamedPlace, ...]
    rulebooks: tuple[NamedRulebook, ...]
    price_books: tuple[NamedPriceBook, ...]
    item_forms: tuple[ItemForm, ...]
    items_offered: tuple[OfferedItem, ...]
    sections_offered: tuple[OfferedSection, ...]


@get(
    "/v1/options",
    operation_id="listOptions",
    summary="What a form may offer",
    tags=["rules"],
    sync_to_thread=False,
)
def list_options(
    request: Request[Any, Any, Any],
    desk: GivenDesk,
    caller: GivenCaller,
    jurisdiction: PlaceQuery = None,
    price_book: BookQuery = None,
) -> Options:
    """List every field of a deck spec with label, help, range, default and words, and what may be named in it."""
    best_type(request, [JSON])
    faults: list[Fault] = []
    place = _place(jurisdiction, desk, faults)
    book = _book(price_book, place, desk, caller, faults)
    choose(prices=book, place=place)
    if faults:
        raise Rejected("invalid_query", "the query names what is not there", tuple(faults))
    return Options(
        fields=tuple(_here(field, place) for field in form_fields()),
        jurisdictions=_places(desk),
        rulebooks=tuple(NamedRulebook(id=id, title=desk.rulebooks()[id].title) for id in desk.codes()),
        price_books=_price_books(desk, caller),
        item_forms=tuple(_form(kind) for kind in GRAMMAR),
        items_offered=() if book is None else _offered(book),
        sections_offered=() if book is None else _sections(book),
    )


def _place(reference: str | None, desk: Desk, faults: list[Fault]) -> Jurisdiction | None:
    if reference is None:
        return None
    try:
        return desk.place(reference)
    except NotServed as missing:
        known = Allowed(one_of=desk.places())
        faults.append(Fault(pointer("jurisdiction"), "unknown_jurisdiction", str(missing), known))
        return None


def _book(
    reference: str | None, place: Jurisdiction | None, desk: Desk, caller: Caller, faults: list[Fault]
) -> PriceBook | None:
    if reference is None:
        return None
    try:
        return desk.price_book(reference, desk.today(place), caller)
    except NotServed as missing:
        known = Allowed(one_of=desk.books(caller))
        faults.append(Fault(pointer("price_book"), "unknown_price_book", str(missing), known))
        return None


def _here(field: FormField, place: Jurisdiction | None) -> FormField:
    """The field with the footing methods a place does not allow marked."""
    if place is None or field.path != "foundation.method":
        return field
    refused = place.methods_not_allowed
    choices = (
        msgspec.structs.replace(choice, allowed_here=choice.value not in refused) for choice in field.choices
    )
    return msgspec.structs.replace(field, choices=tuple(choices))


def _places(desk: Desk) -> tuple[NamedPlace, ...]:
    return tuple(NamedPlace(id=name, name=desk.place(name).name) for name in desk.places())


def _price_books(desk: Desk, caller: Caller) -> tuple[NamedPriceBook, ...]:
    versions, visible = desk.snapshot.price_books.versions, frozenset(desk.books(caller))
    return tuple(
        NamedPriceBook(
            id=book.id,
            version=book.version,
            currency=book.currency,
            effective_from=book.effective_from,
            effective_to=book.effective_to,
        )
        for (id, _), book in sorted(versions.items())
        if id in visible
    )


def _form(kind: ItemKind) -> ItemForm:
    return ItemForm(
        kind=kind.kind,
        attributes=kind.attributes,
        optional_attributes=kind.optional,
        unit=kind.unit,
        has_lengths=kind.has_lengths,
        example=kind.example,
    )


def _offered(book: PriceBook) -> tuple[OfferedItem, ...]:
    items = sorted({line.item for line in book.lines if line.availability != "out"})
    ladders = ((item, book.ladder(item)) for item in items)
    return tuple(
        OfferedItem(
            item=item,
            description=ladder[0].description,
            unit=ladder[0].unit,
            lengths_ft=tuple(one.length_ft for one in ladder if one.length_ft is not None),
        )
        for item, ladder in ladders
    )


def _sections(book: PriceBook) -> tuple[OfferedSection, ...]:
    names = OfferedSection.__struct_fields__
    return tuple(OfferedSection(**{name: getattr(one, name) for name in names}) for one in book.sections)
