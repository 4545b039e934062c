"""Every table, example and setting file that comes with the service can be read."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from service.contract.faults import spec_faults
from service.contract.spec import DeckSpec
from service.contract.strict import decode
from service.foundations.facts import parse_facts
from service.rules.framing_minutes import parse_framing_minutes
from service.rules.jurisdiction import parse_jurisdiction
from service.rules.price_book import parse_price_book
from service.rules.rulebook import RULEBOOK_FILE, build_rulebook
from service.timber.values import parse_timber

ROOT = Path(__file__).parents[2]
RULEBOOKS = ROOT / "service" / "rulebooks"
EXAMPLES = [
    file
    for file in sorted((ROOT / "openapi" / "examples").glob("*.json"))
    if "answer" not in file.name  # what the examples are answered, written by `deck-framing openapi write`
]
DATA = sorted(
    file for folder in (RULEBOOKS, ROOT / "openapi") for file in folder.rglob("*") if file.is_file()
)


def _place(file: Path) -> str:
    return file.relative_to(ROOT).as_posix()


def _texts(folder: Path) -> dict[str, str]:
    return {file.stem: file.read_bytes().decode() for file in folder.glob("*.csv")}


@pytest.mark.parametrize("file", DATA, ids=_place)
def test_text_is_utf_8_with_plain_line_ends(file: Path) -> None:
    raw = file.read_bytes()
    text = raw.decode("utf-8")
    assert text.endswith("\n")
    assert "\r" not in text
    assert not text.startswith("\ufeff")
    {".json": json.loads, ".toml": tomllib.loads}.get(file.suffix, str)(text)


@pytest.mark.parametrize("file", EXAMPLES, ids=_place)
def test_each_example_deck_is_a_spec_without_faults(file: Path) -> None:
    spec = decode(file.read_bytes(), DeckSpec, across=spec_faults)
    assert spec.reference is not None
    assert spec.reference.startswith("EXAMPLE-")


def test_six_example_decks_differ_in_reference() -> None:
    references = {json.loads(file.read_bytes())["reference"] for file in EXAMPLES}
    assert len(references) == len(EXAMPLES) >= 6


@pytest.mark.parametrize("meta", sorted(RULEBOOKS.glob(f"*/{RULEBOOK_FILE}")), ids=_place)
def test_each_rulebook_parses(meta: Path) -> None:
    book = build_rulebook(meta.read_text(encoding="utf-8"), _texts(meta.parent))
    assert book.id == meta.parent.name


@pytest.mark.parametrize("file", sorted((RULEBOOKS / "jurisdictions").glob("*.toml")), ids=_place)
def test_each_jurisdiction_parses(file: Path) -> None:
    assert parse_jurisdiction(file.read_text(encoding="utf-8"), file.name).id == file.stem


@pytest.mark.parametrize("file", sorted((RULEBOOKS / "price_books").glob("*.csv")), ids=_place)
def test_each_price_book_parses(file: Path) -> None:
    book = parse_price_book(file.read_text(encoding="utf-8"), file.name)
    assert f"{book.id}@{book.version}" == file.stem


def test_design_values_and_foundation_facts_parse() -> None:
    woods = _texts(RULEBOOKS / "timber")
    assert parse_timber(woods["design_values"], woods["factors"])
    assert parse_facts(_texts(RULEBOOKS / "foundations")).tubes


def test_framing_minutes_parse() -> None:
    assert parse_framing_minutes(_texts(RULEBOOKS / "framing")["framing_minutes"]).joist


def test_an_installed_service_takes_its_data_along() -> None:
    found = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    patterns = found["tool"]["setuptools"]["package-data"]["service"]
    taken = {file for pattern in patterns for file in (ROOT / "service").glob(pattern) if file.is_file()}
    there = {
        file
        for file in (ROOT / "service").rglob("*")
        if file.is_file() and file.suffix not in {".py", ".pyc"} and not _hidden(file)
    }
    assert there <= taken, sorted(map(_place, there - taken))


def _hidden(file: Path) -> bool:
    return any(part.startswith(".") for part in file.relative_to(ROOT).parts)
