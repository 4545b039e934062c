"""SQL is written by us alone: what comes from elsewhere goes to the database as a bound parameter."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
RUNS = {
    "execute",
    "_asked",
    "text",
    "scalar",
    "scalars",
    "exec_driver_sql",
    "executemany",
    "copy",
    "literal_column",
    "SQL",
}
# Texts put together, each of names and figures that stand in the code beside it.
PUT_TOGETHER = {
    "service/store/listen.py: f'listen {CHANNEL}'": "a constant; a name of a channel cannot be bound",
    "service/store/live.py: f\"set local statement_timeout = '{PATIENCE}'\"": "a constant; `set` takes no parameter",
    "service/store/audit_reader.py: f\"set local statement_timeout = '{PATIENCE}'\"": "the same",
    "service/store/price_writer.py: f\"set local lock_timeout = '{PATIENCE}'\"": "the same",
    "service/store/price_writer.py: f\"set local statement_timeout = '{PATIENCE}'\"": "the same",
    "service/store/migrate.py: f\"set local lock_timeout = '{LOCK_PATIENCE}'\"": "the same",
    "service/store/migrate.py: f\"set local statement_timeout = '{STATEMENT_PATIENCE}'\"": "the same",
    "service/store/migrate.py: f'grant usage on schema public to {quoted}'": "a role of the operator's URL, quoted",
    "service/store/migrate.py: f'grant select on {tables} to {quoted}'": "our own tables; the same role",
    "service/store/migrate.py: f'grant {right} to {quoted}'": "our own list of rights; the same role",
}


def put_together(text: str) -> list[str]:
    """Arguments of calls that run SQL, which are more than one constant text or a built expression.

    >>> put_together("c.execute('select ' + x); c.execute(text(f'a {b}')); c.execute(select(t)); text('a')")
    ["'select ' + x", "f'a {b}'"]
    """
    found = []
    for call in ast.walk(ast.parse(text)):
        if isinstance(call, ast.Call) and _name(call) in RUNS and call.args:
            found += [ast.unparse(one) for argument in call.args[:2] for one in _loose(argument)]
    return found


def _name(call: ast.Call) -> str:
    return call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")


def _loose(argument: ast.expr) -> list[ast.expr]:
    if isinstance(argument, ast.JoinedStr):
        return [argument]
    if isinstance(argument, ast.BinOp) and isinstance(argument.op, ast.Add | ast.Mod):
        return [argument]
    if isinstance(argument, ast.Call) and _name(argument) in ("format", "join", "replace", "format_map"):
        return [argument]
    return []


def found_in(folder: str) -> set[str]:
    return {
        f"{file.relative_to(ROOT).as_posix()}: {argument}"
        for file in (ROOT / folder).rglob("*.py")
        for argument in put_together(file.read_text("utf-8"))
    }


def test_sql_is_put_together_only_where_said() -> None:
    # click.echo(...).join and the like are no SQL: only the store and its migrations reach a database
    assert found_in("service/store") == set(PUT_TOGETHER)


def test_nothing_but_the_store_runs_sql() -> None:
    others = {name for name in found_in("service") if not name.startswith("service/store/")}
    assert others == set()


@pytest.mark.parametrize(
    "line",
    [
        "c.execute(f'select {name}')",
        "c.execute('select ' + name)",
        "c.execute('select %s' % name)",
        "c.execute(text('select {}'.format(name)))",
        "c.exec_driver_sql(', '.join(names))",
        "sql.SQL(f'{name}')",
    ],
)
def test_sql_put_together_is_found(line: str) -> None:
    assert put_together(line)
