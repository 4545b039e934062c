"""The lines of a spooled body, whatever is in it."""

from __future__ import annotations

import io

from hypothesis import given
from hypothesis import strategies as st

from service.web.streams.lines import MOST_LINE_BYTES, LineReader
from service.web.streams.messages import Line


def read(body: bytes, first_line: int = 1, most_lines: int = 3) -> tuple[list[Line], int]:
    reader = LineReader(io.BytesIO(body), first_line)
    found: list[Line] = []
    while not reader.ended:
        found += reader.chunk(most_lines)
    return found, reader.count


@given(
    st.lists(st.sampled_from([b"{}", b"", b" ", b"\r", b"x y", b"[1]\r"])),
    st.integers(1, 9),
    st.integers(1, 5),
)
def test_lines_keep_their_numbers(lines: list[bytes], first_line: int, most_lines: int) -> None:
    wanted = [
        Line(number, line.strip())
        for number, line in enumerate(lines, start=1)
        if line.strip() and number >= first_line
    ]
    whole = b"".join(line + b"\n" for line in lines)
    assert read(whole, first_line, most_lines) == (wanted, len(lines))


def test_lines_the_last_needs_no_line_feed() -> None:
    assert read(b"1\n2") == ([Line(1, b"1"), Line(2, b"2")], 2)
    assert read(b"") == ([], 0)


def test_lines_of_the_limit_are_taken_and_longer_ones_passed_over() -> None:
    longest = b"x" * MOST_LINE_BYTES
    body = b"\n".join([longest, longest + b"x", b"a" * 2_000_000, b"4", longest])
    found, count = read(body)
    assert [(line.number, line.text and len(line.text)) for line in found] == [
        (1, MOST_LINE_BYTES),
        (2, None),
        (3, None),
        (4, 1),
        (5, MOST_LINE_BYTES),
    ]
    assert count == 5


def test_lines_held_at_a_time_are_bounded_in_bytes() -> None:
    body = (b"x" * 200_000 + b"\n") * 9
    reader = LineReader(io.BytesIO(body))
    assert len(reader.chunk(most_lines=1000)) == 6


def test_lines_a_chunk_may_be_empty_before_the_end() -> None:
    blank = b" " * 99_999 + b"\n"
    reader = LineReader(io.BytesIO(blank * 90 + b"1"))
    assert reader.chunk(most_lines=1) == []
    assert not reader.ended
    assert reader.chunk(most_lines=1) == [Line(91, b"1")]
