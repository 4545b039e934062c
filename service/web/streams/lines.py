"""Reading a spooled body line by line, in pieces that bound memory and the time a thread is kept."""

from __future__ import annotations

from typing import IO

from service.web.streams.messages import Line

MOST_LINE_BYTES = 262_144
MOST_CHUNK_BYTES = 1 << 20
# Blank lines and lines before the first one wanted are cheap, but there may be millions of them.
MOST_SCANNED_BYTES = 8 << 20


class LineReader:
    """The lines of a file from a given one on.

    Attributes:
        count: lines seen so far, blank ones and those left out too
        ended: whether that is all

    >>> import io
    >>> reader = LineReader(io.BytesIO(b'{}\\n\\n[]\\n""'), first_line=2)
    >>> reader.chunk(most_lines=9)
    [Line(number=3, text=b'[]'), Line(number=4, text=b'""')]
    >>> reader.count, reader.ended
    (4, True)
    """

    def __init__(self, file: IO[bytes], first_line: int = 1) -> None:
        self._file = file
        self._first = first_line
        self.count = 0
        self.ended = False

    def chunk(self, most_lines: int) -> list[Line]:
        """Return the next lines that have something in them; none may mean that only blank ones were seen."""
        found: list[Line] = []
        held = scanned = 0
        while len(found) < most_lines and held < MOST_CHUNK_BYTES and scanned < MOST_SCANNED_BYTES:
            read = self._file.readline(MOST_LINE_BYTES + 1)
            if not read:
                self.ended = True
                break
            self.count += 1
            scanned += len(read)
            text = self._whole(read)
            if self.count >= self._first and text != b"":
                found.append(Line(self.count, text))
                held += len(text or b"")
        return found

    def _whole(self, read: bytes) -> bytes | None:
        """The text of a line without blanks around it; null for a line that is too long, which is passed over."""
        if len(read) <= MOST_LINE_BYTES or read.endswith(b"\n"):
            return read.strip(b" \t\r\n")
        while read and not read.endswith(b"\n"):
            read = self._file.readline(MOST_CHUNK_BYTES)
        return None
