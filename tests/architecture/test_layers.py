"""What import-linter's contracts in pyproject.toml leave open: their own lists, and the standard library.

The contracts themselves are run by `.ci/run` with `lint-imports`.
"""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

OUTER = {"cli", "datasets", "app", "web", "store", "typesetting"}
# Naming what the core may use, not what it may not: a new way to reach the outside is refused unseen.
CORE_MAY_IMPORT = {
    "__future__", "bisect", "collections", "contextlib", "csv", "dataclasses", "datetime", "decimal", "enum",
    "fractions", "functools", "hashlib", "heapq", "highspy", "io", "itertools", "json", "math", "msgspec", "numpy",
    "operator", "re", "service", "shapely", "string", "tomllib", "types", "typing", "unicodedata", "xml",
}  # fmt: skip
BUILT_IN_OUTPUT = {"open", "print", "input", "exec", "eval", "__import__"}


@pytest.fixture(scope="module")
def contracts(root: Path) -> dict[str, Any]:
    found = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))
    return {one["id"]: one for one in found["tool"]["importlinter"]["contracts"]}


def _layers(contracts: dict[str, Any]) -> set[str]:
    layers = " | ".join(contracts["flow"]["layers"])
    return {name.strip(" ()") for name in layers.split("|")}


def test_every_package_below_the_store_is_held_pure(contracts: dict[str, Any], sources: Any) -> None:
    pure = {name.removeprefix("service.") for name in contracts["pure"]["source_modules"]}
    there = {source.package for source in sources}
    assert pure == (_layers(contracts) - OUTER) & there


def test_footing_methods_are_held_apart(contracts: dict[str, Any], sources: Any) -> None:
    methods = [one.place for one in sources if one.place.startswith("service/foundations/methods/")]
    assert contracts["methods-apart"]["modules"] == ["service.foundations.methods.*"]
    assert len(methods) > 2


def _imported(tree: ast.Module) -> Iterator[tuple[int, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name.partition(".")[0]) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield (
                node.lineno,
                (node.module or "").partition(".")[0] if node.level == 0 else "a relative import",
            )


def _used(tree: ast.Module) -> Iterator[tuple[int, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in BUILT_IN_OUTPUT:
            yield node.lineno, node.func.id


def _reaches_out(tree: ast.Module) -> list[tuple[int, str]]:
    return [(line, name) for line, name in _imported(tree) if name not in CORE_MAY_IMPORT] + list(_used(tree))


def test_the_core_uses_only_what_can_reach_nothing_outside(contracts: dict[str, Any], sources: Any) -> None:
    core = _layers(contracts) - OUTER
    found = [
        f"{source.place}:{line} {name}"
        for source in sources
        if source.package in core
        for line, name in _reaches_out(source.tree)
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    "line", ["import time", "from os import path", "import uuid as u", "open('x')", "from . import x"]
)
def test_a_way_out_is_found(line: str) -> None:
    assert _reaches_out(ast.parse(line))
    assert not _reaches_out(ast.parse("import math\nfrom service.units.text import feet_inches\nlen('x')"))
