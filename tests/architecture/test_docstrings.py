"""Every public function that sizes or judges says where its rule comes from and in what units it works."""

from __future__ import annotations

import ast
import doctest
import re
from collections.abc import Iterator
from typing import Any

import pytest

PACKAGES = ("timber", "mechanics", "sizing", "connections", "foundations")
SOURCE = re.compile(
    r"\bSources?:|\bIRC\b|\bNDS\b|\bDCA\b|\bASCE\b|\bACI\b|\bR\d{3}|common practice|own convention|from memory"
)
# The preposition "in" is no unit: the inch counts after a comma, a bracket or a figure, or at the end of a name.
UNIT = re.compile(
    r"\b(ft|psf|plf|psi|pci|pcf|lb|sqft|cuft|cuyd|deg|degrees|inch|inches|feet|foot|pounds?|percent|hours?|days?)\b"
    r"|[,(] ?in\b|\d in\b|_(in|ft|psf|plf|psi|lb|sqft|cuft|deg|sqin|in2|in3|in4)\b"
    r"|\b(no unit|without unit|ratio|factor|yes or no|plies|consistent units)\b"
)
GOOD = '''
def span(size: str) -> float:
    """Return the longest span, ft.

    Source: IRC Table R507.6.

    Args:
        size: nominal size.

    Returns:
        The span, ft.

    Example:
        >>> 1 + 1
        2
    """
'''


def _arguments(function: ast.FunctionDef) -> list[str]:
    given = function.args
    names = [one.arg for one in (*given.posonlyargs, *given.args, *given.kwonlyargs)]
    return [name for name in names if name not in {"self", "cls"}]


def _wants(function: ast.FunctionDef) -> Iterator[str]:
    text = ast.get_docstring(function) or ""
    if not SOURCE.search(text):
        yield "names no source"
    if not UNIT.search(text):
        yield "names no unit"
    listed = text.partition("Args:")[2]
    missing = [name for name in _arguments(function) if f"{name}:" not in listed]
    if missing:
        yield f"does not describe {', '.join(missing)}"


def _public(tree: ast.Module) -> list[ast.FunctionDef]:
    return [
        node for node in tree.body if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    ]


@pytest.mark.parametrize("package", PACKAGES)
def test_public_functions_name_source_units_and_arguments(sources: Any, package: str) -> None:
    wants = [
        f"{source.place}:{function.lineno} {function.name} {want}"
        for source in sources
        if source.package == package
        for function in _public(source.tree)
        for want in _wants(function)
    ]
    assert not wants, "\n".join(wants)


@pytest.mark.parametrize("package", PACKAGES)
def test_public_functions_carry_an_example_that_runs(sources: Any, package: str) -> None:
    parser = doctest.DocTestParser()
    without = [
        f"{source.place}:{function.lineno} {function.name}"
        for source in sources
        if source.package == package
        for function in _public(source.tree)
        if not parser.get_examples(ast.get_docstring(function) or "")
    ]
    assert not without, "\n".join(without)


@pytest.mark.parametrize(
    ("cut", "want"),
    [
        ("Source: IRC Table R507.6.", "names no source"),
        (", ft", "names no unit"),
        ("size: nominal size.", "does not describe size"),
    ],
)
def test_a_docstring_without_its_part_is_found(cut: str, want: str) -> None:
    good, bad = (_public(ast.parse(text))[0] for text in (GOOD, GOOD.replace(cut, "")))
    assert not list(_wants(good))
    assert list(_wants(bad)) == [want]
