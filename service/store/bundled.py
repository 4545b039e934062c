"""The rule, jurisdiction and price texts that come with the service."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable

from service.rules.rulebook import RULEBOOK_FILE
from service.store.texts import Bundle, NamedText, RulebookText

JURISDICTIONS, PRICE_BOOKS = "jurisdictions", "price_books"


def bundled() -> Bundle:
    """Every text under `service/rulebooks`, in the order of the names of folders and files."""
    root = files("service") / "rulebooks"
    folders = sorted((entry for entry in root.iterdir() if entry.is_dir()), key=lambda entry: entry.name)
    return Bundle(
        rulebooks=tuple(_rulebook(folder) for folder in folders if (folder / RULEBOOK_FILE).is_file()),
        jurisdictions=_texts(root / JURISDICTIONS, ".toml"),
        price_books=_texts(root / PRICE_BOOKS, ".csv"),
    )


def _rulebook(folder: Traversable) -> RulebookText:
    tables = {one.name.removesuffix(".csv"): one.text for one in _texts(folder, ".csv")}
    return RulebookText(_read(folder / RULEBOOK_FILE), tables)


def _texts(folder: Traversable, ending: str) -> tuple[NamedText, ...]:
    if not folder.is_dir():
        return ()
    found = sorted(
        (entry for entry in folder.iterdir() if entry.name.endswith(ending)), key=lambda one: one.name
    )
    return tuple(NamedText(entry.name, _read(entry)) for entry in found)


def _read(file: Traversable) -> str:
    # As bytes: reading as text would turn a carriage return into a line feed and hide it.
    return file.read_bytes().decode("utf-8")
