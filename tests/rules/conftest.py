"""Rulebooks and jurisdictions of the repository, built once."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.rules.jurisdiction import Jurisdiction, parse_jurisdiction
from service.rules.rulebook import RULEBOOK_FILE, Rulebook, build_rulebook

ROOT = Path(__file__).parents[2] / "service" / "rulebooks"


def _build(folder: Path) -> Rulebook:
    texts = {file.stem: file.read_bytes().decode() for file in folder.glob("*.csv")}
    return build_rulebook((folder / RULEBOOK_FILE).read_text(encoding="utf-8"), texts)


@pytest.fixture(scope="session")
def rulebooks() -> dict[str, Rulebook]:
    return {meta.parent.name: _build(meta.parent) for meta in sorted(ROOT.glob(f"*/{RULEBOOK_FILE}"))}


@pytest.fixture(scope="session")
def jurisdictions() -> dict[str, Jurisdiction]:
    files = sorted((ROOT / "jurisdictions").glob("*.toml"))
    return {file.stem: parse_jurisdiction(file.read_text(encoding="utf-8"), file.name) for file in files}
