"""The column beside a drawing: tables and notes, as much as there is room for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate
from typing import NamedTuple
from xml.etree.ElementTree import Element

from service.drawings.kit.ink import DIMENSION, LIGHT, letters, line
from service.drawings.kit.lettering import Box, lines_of, width_pt

SIZE_PT = 7.0
HEAD_PT = 8.0
_STEP_PT = 8.8
_AFTER_PT = 7.0
_BETWEEN_COLUMNS_PT = 5.0
_FIRST_SHARE = 0.4


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


class Notes(NamedTuple):
    """Numbered texts under a title."""

    title: str
    texts: Sequence[str]


def side_column(
    box: Box, first: Notes, tables: Iterable[Table], notes: Notes, more: Sequence[Box] = ()
) -> list[Element]:
    """Return tables and notes from the top of a box down; what finds no room at all is counted in the last line.

    Args:
        box: the column.
        more: columns as wide that are free under the drawing, for what finds no room in the first.
        first: what is told before all else, in at most so much of the column that tables find room too.
        tables: the schedules.
        notes: what is told last, the most important note first.
    """
    room, high = box.right - box.left - 12, box.bottom - box.top - 10
    told = _cut(_note_lines(first, room), _FIRST_SHARE * high)
    told += [line for table in tables if table.rows for line in _table_lines(table, room)]
    told += _note_lines(notes, room)
    return _filled(told, (box, *more), "under the drawing")


def _filled(told: list[_Line], boxes: Sequence[Box], where: str) -> list[Element]:
    """Lines from box to box; ``where`` is where the next one lies."""
    box, *more = boxes
    high = box.bottom - box.top - 10
    if not more or _high_pt(told) <= high:
        return _written(box, _cut(told, high))
    count = _fitting(told, high)
    on = _Line(((0.0, f"Continued {where}"),), bold=True)
    return [*_written(box, [*told[:count], on]), *_filled(_begun(told[count:]), more, "on the right")]


def _begun(told: list[_Line]) -> list[_Line]:
    """Lines without the empty ones they begin with."""
    return next((told[at:] for at, one in enumerate(told) if one.texts), [])


def _high_pt(told: Iterable[_Line]) -> float:
    return sum(line.step_pt for line in told)


def _fitting(told: Iterable[_Line], room_pt: float) -> int:
    """How many lines find room with one more line under them."""
    under = accumulate(line.step_pt for line in told)
    return sum(used + _STEP_PT <= room_pt for used in under)


def _cut(told: list[_Line], room_pt: float) -> list[_Line]:
    if _high_pt(told) <= room_pt:
        return told
    kept = told[: _fitting(told, room_pt)]
    left = sum(bool(one.texts) for one in told[len(kept) :])
    return [*kept, _Line(((0.0, f"... {left} more lines: see the report"),), bold=True)]


def _written(box: Box, told: Iterable[_Line]) -> list[Element]:
    found: list[Element] = []
    y = box.top + 6
    for one in told:
        y += one.step_pt
        size = HEAD_PT if one.bold else SIZE_PT
        found += [
            letters(text, (box.left + 6 + x, y - 2), size, bold=one.bold) for x, text in one.texts if text
        ]
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


def _note_lines(notes: Notes, room_pt: float) -> list[_Line]:
    if not notes.texts:
        return []
    found = [_Line(((0.0, notes.title),), bold=True, ruled=True, step_pt=_STEP_PT + 2)]
    for number, note in enumerate(notes.texts, start=1):
        broken = lines_of(note, room_pt - 12, SIZE_PT)
        for at, text in enumerate(broken):
            head = ((0.0, f"{number}."),) if at == 0 else ()
            found.append(_Line((*head, (12.0, text)), step_pt=_STEP_PT))
        found.append(_Line((), step_pt=2.0))
    return [*found, _Line((), step_pt=_AFTER_PT)]
