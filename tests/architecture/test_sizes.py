"""Functions and files stay small."""

from __future__ import annotations

import ast
import io
import tokenize
from typing import Any

LONGEST_FUNCTION = 60
LONGEST_FILE = 400
Node = ast.FunctionDef | ast.AsyncFunctionDef
DOCUMENTED = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)


def _comment_rows(text: str) -> set[int]:
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    return {
        token.start[0] for token in tokens if token.type == tokenize.COMMENT and token.line.strip()[0] == "#"
    }


def _docstring_rows(tree: ast.Module) -> set[int]:
    rows: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, DOCUMENTED) and ast.get_docstring(node, clean=False) is not None:
            first = node.body[0]
            rows |= set(range(first.lineno, (first.end_lineno or first.lineno) + 1))
    return rows


def _code_lines(text: str) -> dict[str, int]:
    tree, lines = ast.parse(text), text.splitlines()
    said = _comment_rows(text) | _docstring_rows(tree)
    return {
        f"{node.lineno} {node.name}": sum(
            bool(lines[row - 1].strip()) and row not in said
            for row in range(node.lineno, (node.end_lineno or node.lineno) + 1)
        )
        for node in ast.walk(tree)
        if isinstance(node, Node)
    }


def test_no_function_is_over_60_code_lines(sources: Any) -> None:
    long = [
        f"{source.place}:{name} has {count} code lines"
        for source in sources
        for name, count in _code_lines(source.text).items()
        if count > LONGEST_FUNCTION
    ]
    assert not long, "\n".join(long)


def test_no_file_is_over_400_lines(sources: Any) -> None:
    long = [
        f"{source.place} has {count} lines"
        for source in sources
        if (count := len(source.text.splitlines())) > LONGEST_FILE
    ]
    assert not long, "\n".join(long)


def test_comments_docstrings_and_blank_lines_are_not_code() -> None:
    text = 'def f() -> int:\n    """One.\n\n    Two."""\n    # three\n\n    return 4  # five\n'
    assert _code_lines(text) == {"1 f": 2}
