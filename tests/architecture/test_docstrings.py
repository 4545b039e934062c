"""Every public function that sizes or judges says where its rule comes from and in what units it works."""

from __future__ import annotations

import ast
import doctest
import re
from collections.abc import Iterator
from typing import Any

import pytest

# The least share of public functions with an example; where a whole frame would have to be built, a test is clearer.
EXAMPLES = {"timber": 1.0, "mechanics": 1.0, "sizing": 0.6, "connections": 0.5, "foundations": 1.0}
PACKAGES = tuple(EXAMPLES)
SOURCE = re.compile(
    r"\bSources?:|\bIRC\b|\bNDS\b|\bDCA\b|\bASCE\b|\bACI\b|\bR\d{3}|common practice|own convention|from memory"
)
# The preposition "in" is no unit: the inch counts after a comma, a bracket or a figure, or at the end of a name.
UNIT = re.compile(
    r"\b(ft|psf|plf|psi|pci|pcf|lb|sqft|cuft|cuyd|deg|degrees|inch|inches|feet|foot|pounds?|percent|hours?|days?)\b"
    r"|[,(] ?in\b|\d in\b|\b(in|whole) in\b|_(in|ft|psf|plf|psi|lb|sqft|cuft|deg|sqin|in2|in3|in4)\b"
    r"|\b([Nn]o unit|without unit|any unit|own unit|caller's unit|consistent units|ratio|factor|plies)\b"
)
GOOD = '''
def span(size: str, species: str) -> float:
    """Return the longest span, ft.

    Source: IRC Table R507.6.

    Args:
        size: nominal size.
        species: framing species.
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
    listed = re.findall(r"^    (\w+): ", text.partition("Args:")[2].partition("\n\n")[0], re.MULTILINE)
    names = _arguments(function)
    if listed and listed != names:
        yield f"lists {listed} under Args, not {names}"


def _public(tree: ast.Module) -> list[ast.FunctionDef]:
    return [node for node in tree.body if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")]


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
def test_public_functions_carry_examples_that_run(sources: Any, package: str) -> None:
    parser = doctest.DocTestParser()
    examples = {
        f"{source.place}:{function.lineno} {function.name}": parser.get_examples(
            ast.get_docstring(function) or ""
        )
        for source in sources
        if source.package == package
        for function in _public(source.tree)
    }
    without = [name for name, found in examples.items() if not found]
    assert len(without) <= (1 - EXAMPLES[package]) * len(examples), "\n".join(without)


@pytest.mark.parametrize(
    ("cut", "want"),
    [
        ("Source: IRC Table R507.6.", "names no source"),
        (", ft", "names no unit"),
        ("        size: nominal size.\n", "lists ['species'] under Args, not ['size', 'species']"),
    ],
)
def test_a_docstring_without_its_part_is_found(cut: str, want: str) -> None:
    good, bad = (_public(ast.parse(text))[0] for text in (GOOD, GOOD.replace(cut, "")))
    assert not list(_wants(good))
    assert list(_wants(bad)) == [want]
