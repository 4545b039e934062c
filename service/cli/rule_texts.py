"""Versions of rulebooks and places as texts, by their references: those that come with the service."""

from __future__ import annotations

from service.contract.ids import Pinned, pinned
from service.contract.rule_compare import ComparedVersion
from service.rules.compare import PlaceText, RulebookTexts
from service.rules.jurisdiction import parse_jurisdiction
from service.rules.rulebook import parse_meta
from service.store.bundled import bundled
from service.store.errors import NotServed

Texts = RulebookTexts | PlaceText


def bundled_version(reference: str) -> Texts:
    """Return a version that comes with the service, the newest one where none is pinned.

    Raises:
        NotServed: there is no such one
    """
    try:
        wanted = pinned(reference)
    except ValueError as error:
        raise NotServed(str(error)) from error
    found = [one for one in _every() if _is(one.version, wanted)]
    if not found:
        raise NotServed(f"no rulebook or jurisdiction {reference} comes with the service")
    return max(found, key=lambda one: one.version.version)


def _is(version: ComparedVersion, wanted: Pinned) -> bool:
    return version.id == wanted.name and wanted.version in (None, version.version)


def _every() -> list[Texts]:
    texts = bundled()
    found: list[Texts] = []
    for one in texts.rulebooks:
        meta = parse_meta(one.meta)
        version = ComparedVersion(id=meta.id, version=meta.version, digest=one.digest)
        found.append(RulebookTexts(version, one.meta, one.tables))
    for named in texts.jurisdictions:
        place = parse_jurisdiction(named.text, named.name)
        version = ComparedVersion(id=place.id, version=place.version, digest=place.digest)
        found.append(PlaceText(version, named.text))
    return found
