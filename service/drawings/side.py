"""The column beside a drawing: tables and notes, as much as there is room for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element

from service.drawings.ink import DIMENSION, LIGHT, letters, line
from service.drawings.lettering import Box, lines_of, width_pt

SIZE_PT = 7.0
HEAD_PT = 8.0
_STEP_PT = 8.8
_AFTER_PT = 7.0
_BETWEEN_COLUMNS_PT = 5.0


class Table(NamedTuple):
    """A schedule: a title, headings, rows of texts. The last column is broken into lines where it is long."""

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class _Line(NamedTuple):
    """One line of the column: texts with how far in they begin, and whether a rule is drawn under it."""

    texts: tuple[tuple[float, str], ...]
    bold: bool = False
    ruled: bool = False
    step_pt: float = _STEP_PT


def side_column(box: Box, tables: Iterable[Table], notes: Sequence[str]) -> list[Element]:
    """Return tables and notes from the top of a box down; what finds no room is counted in its last line."""
    room = box.right - box.left - 12
    told = [line for table in tables if table.rows for line in _table_lines(table, room)]
    told += _note_lines(notes, room)
    return _written(box, _cut(told, box.bottom - box.top - 10))


def _cut(told: list[_Line], room_pt: float) -> list[_Line]:
    if sum(line.step_pt for line in told) <= room_pt:
        return told
    kept: list[_Line] = []
    used = _STEP_PT
    for one in told:
        used += one.step_pt
        if used > room_pt:
            break
        kept.append(one)
    left = sum(bool(one.texts) for one in told[len(kept) :])
    return [*kept, _Line(((0.0, f"... {left} more lines: see the report"),), bold=True)]


def _written(box: Box, told: Iterable[_Line]) -> list[Element]:
    found: list[Element] = []
    y = box.top + 6
    for one in told:
        y += one.step_pt
        size = HEAD_PT if one.bold else SIZE_PT
        found += [letters(text, (box.left + 6 + x, y - 2), size, bold=one.bold) for x, text in one.texts]
        if one.ruled:
            found.append(line((box.left + 6, y), (box.right - 6, y), DIMENSION if not one.bold else LIGHT))
    return found


def _table_lines(table: Table, room_pt: float) -> list[_Line]:
    starts = _starts(table)
    last = room_pt - starts[-1]
    found = [_Line(((0.0, table.title),), bold=True, ruled=True, step_pt=_STEP_PT + 2)]
    found.append(_Line(tuple(zip(starts, table.headings, strict=True)), ruled=True))
    for row in table.rows:
        broken = lines_of(row[-1], last, SIZE_PT) or [""]
        found.append(_Line(tuple(zip(starts, (*row[:-1], broken[0]), strict=True))))
        found += [_Line(((starts[-1], more),)) for more in broken[1:]]
    return [*found, _Line((), step_pt=_AFTER_PT)]


def _starts(table: Table) -> tuple[float, ...]:
    """Where each column begins: as far in as the texts before it are wide."""
    starts = [0.0]
    for column in range(len(table.headings) - 1):
        texts = (table.headings[column], *(row[column] for row in table.rows))
        widest = max(width_pt(text, SIZE_PT) for text in texts)
        starts.append(starts[-1] + widest + _BETWEEN_COLUMNS_PT)
    return tuple(starts)


def _note_lines(notes: Sequence[str], room_pt: float) -> list[_Line]:
    if not notes:
        return []
    found = [_Line(((0.0, "Notes"),), bold=True, ruled=True, step_pt=_STEP_PT + 2)]
    for number, note in enumerate(notes, start=1):
        broken = lines_of(note, room_pt - 12, SIZE_PT)
        for at, text in enumerate(broken):
            head = ((0.0, f"{number}."),) if at == 0 else ()
            found.append(_Line((*head, (12.0, text)), step_pt=_STEP_PT))
        found.append(_Line((), step_pt=2.0))
    return found
