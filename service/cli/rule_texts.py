"""Versions of rulebooks and places as texts, by their references: those that come with the service."""

from __future__ import annotations

from collections.abc import Iterator

from service.contract.ids import Pinned, pinned
from service.contract.rule_compare import ComparedVersion
from service.rules.compare import RulebookTexts
from service.rules.jurisdiction import Jurisdiction, parse_jurisdiction
from service.rules.rulebook import parse_meta
from service.store.bundled import bundled
from service.store.errors import NotServed

Version = RulebookTexts | Jurisdiction


def bundled_version(reference: str) -> Version:
    """Return a version that comes with the service, the newest one where none is pinned.

    Raises:
        NotServed: there is no such one
    """
    wanted = pinned_reference(reference)
    found = [
        (number, one)
        for id, number, one in _every()
        if id == wanted.name and wanted.version in (None, number)
    ]
    if not found:
        raise NotServed(f"no rulebook or jurisdiction {reference} comes with the service")
    return max(found, key=lambda pair: pair[0])[1]


def pinned_reference(reference: str) -> Pinned:
    """Take a reference apart.

    Raises:
        NotServed: it is none
    """
    try:
        return pinned(reference)
    except ValueError as error:
        raise NotServed(str(error)) from error


def _every() -> Iterator[tuple[str, int, Version]]:
    texts = bundled()
    for one in texts.rulebooks:
        meta = parse_meta(one.meta)
        version = ComparedVersion(id=meta.id, version=meta.version, digest=one.digest)
        yield meta.id, meta.version, RulebookTexts(version, meta, one.tables)
    for named in texts.jurisdictions:
        place = parse_jurisdiction(named.text, named.name)
        yield place.id, place.version, place
