"""From the names in a spec to the versions it is designed against, or the faults of those names."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, TypeVar

import msgspec

from service.checks.members.deck import deck_of
from service.choice.level.context import Context
from service.contract.drawing import DrawingRequest
from service.contract.faults import FIRST_DAY, LAST_DAY, spec_faults
from service.contract.ids import pinned
from service.contract.member_checks import MemberCheckRequest
from service.contract.member_checks_faults import member_check_faults
from service.contract.parse import parse
from service.contract.permit_package import PermitPackageRequest
from service.contract.problem import Allowed, Fault, Rejected, moved, pointer, under
from service.contract.spec import DeckSpec
from service.contract.strict import DEFAULT_LIMITS, decode, no_faults
from service.contract.structure import day
from service.rules.choice import rulebook_in_force
from service.rules.jurisdiction import Jurisdiction
from service.rules.price_book import PriceBook
from service.rules.rulebook import Rulebook
from service.store.errors import NotServed
from service.store.snapshot import Shelf
from service.web.caller import NOBODY, Caller
from service.web.chosen import choose
from service.web.desk import Desk
from service.web.watched import watch_here

CREW_CURRENCY, CEILING_CURRENCY = "/crew/currency", "/framing/cost_ceiling/currency"
CURRENCY = re.compile("[A-Z]{3}")
# where a request that says more than a spec has it
SPEC = "/spec"
Spec = TypeVar("Spec", bound=msgspec.Struct)
Around = TypeVar("Around", DrawingRequest, PermitPackageRequest)


@dataclass(frozen=True)
class Names:
    """What a spec names besides the deck itself, and each currency it names with its place."""

    jurisdiction: str | None = None
    rulebook: str | None = None
    price_book: str | None = None
    as_of: date | None = None
    currencies: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class _Found:
    """What the names stand for; null where a name is at fault or absent."""

    place: Jurisdiction | None
    rulebook: Rulebook | None
    prices: PriceBook | None
    as_of: date
    in_force: str | None
    faults: tuple[Fault, ...]


def read_spec(body: bytes, desk: Desk, caller: Caller = NOBODY) -> DeckSpec:
    """Return the spec in a body, with the day it means where it gives none.

    The day is settled here, once: looked up again after midnight it could be another one.

    Raises:
        Rejected: with the faults of its form, between its fields and of the names in it, all together
    """
    try:
        spec = decode(body, DeckSpec, across=spec_faults)
    except Rejected as refused:
        raise _with_names(refused, body, desk, caller) from None
    return _settled(spec, _found(_names_of(spec, caller), desk, caller))


def read_around_spec(
    body: bytes,
    type_: type[Around],
    desk: Desk,
    caller: Caller = NOBODY,
    across: Callable[[Around], Iterable[Fault]] = no_faults,
) -> Around:
    """Return a request that holds a spec in its field ``spec``, which is read as `read_spec` reads one alone.

    ``across`` finds the faults between the fields beside it.

    Raises:
        Rejected: with the faults of all of it together, those of the spec under ``/spec``
    """
    try:
        asked = decode(body, type_, across=lambda one: (*under(spec_faults(one.spec), SPEC), *across(one)))
    except Rejected as refused:
        raise _with_names(refused, body, desk, caller, SPEC) from None
    try:
        spec = _settled(asked.spec, _found(_names_of(asked.spec, caller), desk, caller))
    except Rejected as refused:
        raise moved(refused, SPEC) from None
    return msgspec.structs.replace(asked, spec=spec)


def read_member_check(body: bytes, desk: Desk, _: Caller = NOBODY) -> MemberCheckRequest:
    """Return the member check in a body, with the day it means where it gives none.

    Raises:
        Rejected: with the faults of its form, between its fields and of the names in it, all together
    """
    kinds: Any = MemberCheckRequest
    try:
        spec: MemberCheckRequest = decode(body, kinds, across=member_check_faults)
    except Rejected as refused:
        raise _with_names(refused, body, desk, NOBODY) from None
    return _settled(spec, _found(_names_of(deck_of(spec), NOBODY), desk, NOBODY))


def context_of(spec: DeckSpec, desk: Desk, caller: Caller = NOBODY) -> Context:
    """Return what a spec is designed against.

    Raises:
        Rejected: a name stands for nothing, or nothing is loaded
    """
    found = _found(_names_of(spec, caller), desk, caller)
    if found.faults or found.rulebook is None:
        raise _refused(found.faults)
    return Context(
        rulebook=_with_days(desk.amended(found.rulebook, found.place), found, desk),
        guide=desk.guide(found.as_of),
        jurisdiction=found.place,
        prices=found.prices,
        facts=desk.facts,
        timber=desk.timber,
        minutes=desk.minutes,
        as_of=found.as_of,
        in_force=found.in_force,
        engine_version=desk.engine_version,
        watch=watch_here(),
    )


def _with_days(rulebook: Rulebook, found: _Found, desk: Desk) -> Rulebook:
    """A rulebook that remembers which of the versions pinned is not in force on the day of the design."""
    shelves = desk.snapshot
    named: list[tuple[Shelf[Any], Rulebook | Jurisdiction]] = [(shelves.rulebooks, rulebook)]
    if found.place is not None:
        named.append((shelves.jurisdictions, found.place))
    out = tuple(
        f"{one.id}@{one.version}"
        for shelf, one in named
        if shelf.key_on(one.id, found.as_of) != (one.id, one.version)
    )
    return replace(rulebook, out_of_force=out) if out else rulebook


def name_faults(value: Any, desk: Desk) -> tuple[Fault, ...]:
    """Return the faults of the names in the JSON value of a spec, which may have other faults."""
    return _found(_names_in(value, NOBODY), desk, NOBODY).faults


def code_named(reference: str, as_of: date, desk: Desk) -> Rulebook:
    """Return the code a reference means on a day, which remembers it where it is not in force on that day.

    Raises:
        Rejected: there is none, or it is a guide
    """
    faults: list[Fault] = []
    found = _rulebook(reference, as_of, desk, faults)
    if found is None:
        raise _refused(tuple(faults))
    return _with_days(found, _Found(None, found, None, as_of, None, ()), desk)


def _settled(spec: Spec, found: _Found) -> Spec:
    if found.faults:
        raise _refused(found.faults)
    return msgspec.structs.replace(spec, as_of=found.as_of)


def _refused(faults: tuple[Fault, ...]) -> Rejected:
    most = DEFAULT_LIMITS.faults
    count = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
    detail = f"more than {most} faults, the first {most} are listed" if len(faults) > most else count
    return Rejected("invalid_spec", detail, faults[:most])


def _with_names(refused: Rejected, body: bytes, desk: Desk, caller: Caller, at: str = "") -> Rejected:
    """A refusal of a body's form with the faults of the names in it; one of its JSON as it is.

    ``at`` is where in the body the spec is.
    """
    if refused.code != "invalid_spec":
        return refused
    value = parse(body, DEFAULT_LIMITS.depth)
    if at:
        value = value.get(at.removeprefix("/")) if isinstance(value, dict) else None
    found = _found(_names_in(value, caller), desk, caller)
    # where a price book is named its currency decides, and the others are compared with it alone
    kept = (fault for fault in refused.faults if found.prices is None or fault.code != "currency_mixed")
    return _refused((*kept, *under(found.faults, at)))


def _names_of(spec: DeckSpec, caller: Caller) -> Names:
    given = {
        CREW_CURRENCY: spec.crew and spec.crew.currency,
        CEILING_CURRENCY: spec.framing.cost_ceiling and spec.framing.cost_ceiling.currency,
    }
    currencies = tuple((at, currency) for at, currency in given.items() if currency)
    book = spec.price_book or caller.bound_book
    return Names(spec.jurisdiction, spec.rulebook, book, spec.as_of, currencies)


def _names_in(value: Any, caller: Caller) -> Names:
    """The names in a body whose spec has other faults; a name of the wrong form counts as absent."""
    given = value if isinstance(value, dict) else {}
    texts = {name: _name(given.get(name)) for name in ("jurisdiction", "rulebook", "price_book")}
    if given.get("price_book") is None:
        texts["price_book"] = caller.bound_book
    as_of = given.get("as_of")
    chosen = day(as_of) if isinstance(as_of, str) else None
    return Names(
        **texts,
        as_of=chosen if chosen and FIRST_DAY <= chosen <= LAST_DAY else None,
        currencies=tuple(_currencies_in(given)),
    )


def _currencies_in(given: dict[str, Any]) -> Iterator[tuple[str, str]]:
    for at in (CREW_CURRENCY, CEILING_CURRENCY):
        found: Any = given
        for step in at.split("/")[1:]:
            found = found.get(step) if isinstance(found, dict) else None
        if isinstance(found, str) and CURRENCY.fullmatch(found):
            yield at, found


def _name(given: Any) -> str | None:
    try:
        pinned(given)
    except (ValueError, AttributeError, TypeError):
        return None
    return str(given)


def _found(names: Names, desk: Desk, caller: Caller) -> _Found:
    # one moment for all of it: midnight may pass meanwhile
    desk = desk.stopped()
    desk.guide()
    faults: list[Fault] = []
    place = _place(names, desk, faults)
    as_of = names.as_of or desk.today(place)
    in_force = None if place is None else rulebook_in_force(place, as_of)
    reference = names.rulebook or in_force
    rulebook = None if reference is None else _rulebook(reference, as_of, desk, faults)
    if reference is None and place is not None:
        faults.append(_nothing_adopted(place, as_of))
    prices = _prices(names, as_of, desk, caller, faults)
    if prices is not None:
        faults += _mixed(names, prices)
    choose(rulebook, prices, place)
    return _Found(place, rulebook, prices, as_of, in_force, tuple(faults))


def _place(names: Names, desk: Desk, faults: list[Fault]) -> Jurisdiction | None:
    if names.jurisdiction is None:
        return None
    try:
        return desk.place(names.jurisdiction, names.as_of)
    except NotServed as missing:
        known = Allowed(one_of=desk.places())
        faults.append(Fault(pointer("jurisdiction"), "unknown_jurisdiction", str(missing), known))
        return None


def _rulebook(reference: str, as_of: date, desk: Desk, faults: list[Fault]) -> Rulebook | None:
    known = Allowed(one_of=desk.codes())
    try:
        found = desk.snapshot.rulebook(reference, as_of)
    except NotServed as missing:
        faults.append(Fault(pointer("rulebook"), "unknown_rulebook", str(missing), known))
        return None
    if found.kind == "code":
        return found
    detail = f"{found.id} is a guide beyond the code: no design is made by it"
    faults.append(Fault(pointer("rulebook"), "unknown_rulebook", detail, known))
    return None


def _nothing_adopted(place: Jurisdiction, as_of: date) -> Fault:
    first = place.adoptions[0]
    detail = (
        f"{place.id} has no rulebook in force on {as_of}: its first, {first.rulebook}, "
        f"came into force on {first.from_day}; name a rulebook or a later as_of"
    )
    return Fault(pointer("rulebook"), "unknown_rulebook", detail)


def _prices(names: Names, as_of: date, desk: Desk, caller: Caller, faults: list[Fault]) -> PriceBook | None:
    if names.price_book is None:
        return None
    try:
        return desk.price_book(names.price_book, as_of, caller)
    except NotServed as missing:
        known = Allowed(one_of=desk.books(caller))
        faults.append(Fault(pointer("price_book"), "unknown_price_book", str(missing), known))
        return None


def _mixed(names: Names, prices: PriceBook) -> Iterator[Fault]:
    for at, currency in names.currencies:
        if currency != prices.currency:
            detail = f"one currency an answer: price book {prices.id} is in {prices.currency}"
            yield Fault(at, "currency_mixed", detail, Allowed(one_of=(prices.currency,)))
