"""Versions of rulebooks and places by their references: those that come with the service, and those in a database."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import get_args

from service.contract.ids import Pinned, pinned
from service.contract.rule_compare import ComparedVersion
from service.rules.compare import RulebookTexts
from service.rules.jurisdiction import Jurisdiction
from service.rules.rulebook import parse_meta
from service.store.bundled import bundled
from service.store.errors import NotServed
from service.store.places import read_place
from service.store.reader import load_snapshot
from service.store.rule_drafts import Draft, Kind
from service.store.rule_writer import Content, read_draft, read_drafts, read_version
from service.store.snapshot import Key
from service.store.texts import RulebookText

Version = RulebookTexts | Jurisdiction
Found = tuple[Kind, str, int]
KINDS: tuple[Kind, ...] = get_args(Kind)


def bundled_version(reference: str) -> Version:
    """Return a version that comes with the service, the newest one where none is pinned.

    Raises:
        NotServed: there is no such one
    """
    wanted = named(reference)
    found = [
        (number, one)
        for id, number, one in _every()
        if id == wanted.name and wanted.version in (None, number)
    ]
    if not found:
        raise NotServed(f"no rulebook or jurisdiction {reference} comes with the service")
    return max(found, key=lambda pair: pair[0])[1]


def stored_version(url: str, reference: str) -> Version:
    """Return a version or draft in a database, to be compared; errors as for `found_in`."""
    kind, id, number = found_in(url, reference)
    return _version(id, number, read_version(url, kind, id, number))


def named(reference: str) -> Pinned:
    """Take a reference apart.

    Raises:
        NotServed: it is none
    """
    try:
        return pinned(reference)
    except ValueError as error:
        raise NotServed(str(error)) from error


def found_in(url: str, reference: str) -> Found:
    """Return which version or draft in a database a reference means; without a number the newest version.

    Raises:
        NotServed: there is none
    """
    wanted = named(reference)
    snapshot = load_snapshot(url)
    shelves: dict[Kind, Mapping[Key, str]] = {
        "rulebook": snapshot.rulebooks.states,
        "jurisdiction": snapshot.jurisdictions.states,
    }
    for kind, states in shelves.items():
        published = [number for id, number in states if id == wanted.name]
        drafted = [one.version for one in read_drafts(url, kind, wanted.name)]
        numbers = [*published, *drafted] if wanted.version else published or drafted
        if numbers and (wanted.version is None or wanted.version in numbers):
            return kind, wanted.name, wanted.version or max(numbers)
    raise NotServed(f"the database has no rulebook, jurisdiction or draft {reference}")


def draft_in(url: str, reference: str) -> Draft:
    """Return a draft in a database.

    Raises:
        NotServed: there is none
        PublishingConflict: it is published
    """
    if named(reference).version is None:
        raise NotServed(f"{reference} names no draft: give its number too, like {reference}@2")
    return read_draft(url, *found_in(url, reference))


def write_text(path: Path, text: str) -> None:
    """Write a text as it is; a file that holds another one is left alone.

    Raises:
        FileExistsError: there is such a file
    """
    content = text.encode("utf-8")
    if path.exists() and path.read_bytes() != content:
        raise FileExistsError(f"{path} is there already and holds something else")
    path.write_bytes(content)


def read_text(path: Path) -> str:
    """Return what a file holds, with every carriage return in it."""
    return path.read_bytes().decode("utf-8")


def texts_of(content: Content) -> RulebookText:
    """Return the texts of a rulebook's version.

    Raises:
        NotServed: it is a place's
    """
    if isinstance(content, str):
        raise NotServed("this is a place's law, which has a document and no tables")
    return content


def _every() -> Iterator[tuple[str, int, Version]]:
    texts = bundled()
    for one in texts.rulebooks:
        meta = parse_meta(one.meta)
        yield meta.id, meta.version, _version(meta.id, meta.version, one)
    for text in texts.jurisdictions:
        place = read_place(text.text, text.name)
        yield place.id, place.version, place


def _version(id: str, number: int, content: Content) -> Version:
    if isinstance(content, str):
        return read_place(content, f"{id}.toml")
    version = ComparedVersion(id=id, version=number, digest=content.digest)
    return RulebookTexts(version, parse_meta(content.meta), content.tables)
