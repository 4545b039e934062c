"""Log lines on standard error: one JSON object a line, or one line for people; written by a thread of their own.

What our own loggers say is written as it is said, each text cut at its first line feed, since what follows there (the
DETAIL of a database's message) may hold what was sent. Of other loggers only warnings are taken, and of those the
template and numbers alone: a library may say in its texts anything it was given. The message of an exception may hold
a caller's deck, so only its kind and place are written.
"""

from __future__ import annotations

import atexit
import json
import logging
import logging.handlers
import os
import queue
import threading
import traceback
from collections.abc import Mapping
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import PurePath
from typing import Any, Literal

Form = Literal["json", "text"]
FORMS: tuple[Form, ...] = ("json", "text")
LEVELS = ("debug", "info", "warning", "error")
OURS = "deck_framing"
STANDARD_ERROR = 2
# Beyond these lines waiting, what is said is dropped and counted: nobody waits for a reader of the log.
MOST_WAITING = 10_000
LONGEST_TEXT = 1000
END_PATIENCE_S = 1.0
_FRAMES = 12
_log = logging.getLogger("deck_framing.web")


def event(logger: logging.Logger, level: int, name: str, text: str, **fields: object) -> None:
    """Say that something has happened, under a fixed name and with fields of its own."""
    logger.log(level, text, extra={"event": name, "fields": fields})


class _Formatter(logging.Formatter):
    """Makes a record a line, without its line feed."""

    def __init__(self, form: Form) -> None:
        super().__init__()
        self._form = form

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        told = told_of(record)
        return as_json(told) if self._form == "json" else as_text(told)


def told_of(record: logging.LogRecord) -> dict[str, object]:
    """Return what is told of a record, by name."""
    moment = datetime.fromtimestamp(record.created, UTC)
    told: dict[str, object] = {
        "time": moment.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
        "level": record.levelname.lower(),
        "logger": record.name,
        "event": getattr(record, "event", "message"),
        "message": _message(record),
        "pid": record.process,
        **getattr(record, "fields", {}),
    }
    if record.exc_info and record.exc_info[1] is not None:
        error = record.exc_info[1]
        told |= {"error": type(error).__name__, "error_at": places(error)}
    return told


def places(error: BaseException) -> str:
    """Return where an error came from: files and lines, nothing of what was in them."""
    frames = traceback.extract_tb(error.__traceback__)[-_FRAMES:]
    return " > ".join(f"{PurePath(frame.filename).name}:{frame.lineno}" for frame in frames)


def _message(record: logging.LogRecord) -> str:
    if record.name == "py.warnings":
        # file, line and kind; its text may hold anything
        return ": ".join(str(record.msg).split(": ")[:2])[:LONGEST_TEXT]
    is_ours = record.name == OURS or record.name.startswith(f"{OURS}.")
    clean = _first_line if is_ours else _harmless
    given = record.args
    arguments = (
        {name: clean(one) for name, one in given.items()}
        if isinstance(given, Mapping)
        else tuple(clean(one) for one in given or ())
    )
    text = template = str(record.msg).partition("\n")[0]
    try:
        text = template % arguments if arguments else template
    except (TypeError, ValueError, KeyError):
        text = template
    return text[:LONGEST_TEXT]


def _first_line(value: object) -> object:
    return value if isinstance(value, int | float) else str(value).partition("\n")[0][:LONGEST_TEXT]


def _harmless(value: object) -> object:
    return value if isinstance(value, int | float) else "…"


def as_json(told: Mapping[str, object]) -> str:
    """Return fields as one JSON line, in ASCII: no character of a text ends a line or turns a terminal's colours.

    >>> as_json({"message": "a\\nb\\u2028c"})
    '{"message": "a\\\\nb\\\\u2028c"}'
    """
    return json.dumps(told, ensure_ascii=True, default=str)


def as_text(told: Mapping[str, Any]) -> str:
    """Return fields as a line for people.

    >>> as_text({"time": "T", "level": "info", "logger": "x", "event": "request", "message": "m", "pid": 1, "n": 2})
    'T INFO m n=2'
    """
    others = {name: one for name, one in told.items() if name not in _IN_TEXT and one not in ("", None)}
    pairs = [f"{name}={_plain(one)}" for name, one in others.items()]
    return " ".join([told["time"], told["level"].upper(), _printable(told["message"]), *pairs])


_IN_TEXT = frozenset({"time", "level", "logger", "event", "message", "pid"})


def _plain(value: object) -> str:
    return (
        _printable(value) if isinstance(value, str) and " " not in value else json.dumps(value, default=str)
    )


def _printable(text: str) -> str:
    return text if text.isascii() and text.isprintable() else json.dumps(text)[1:-1]


class _Writer(logging.Handler):
    """Hands lines to a thread that writes them, and waits for nothing.

    Attributes:
        dropped: lines that came while too many waited, or that could not be written
    """

    def __init__(self, form: Form, level: int, descriptor: int = STANDARD_ERROR) -> None:
        super().__init__(level)
        self.dropped = 0
        self.style = f"{form}:{logging.getLevelName(level).lower()}"
        self.setFormatter(_Formatter(form))
        self._descriptor = descriptor
        self._lines: queue.Queue[bytes | threading.Event] = queue.Queue(MOST_WAITING)
        self._thread = threading.Thread(target=self._write, name="log lines", daemon=True)
        self._thread.start()

    def emit(self, record: logging.LogRecord) -> None:
        """Take a record in."""
        try:
            self._lines.put_nowait(self.format(record).encode("ascii", "backslashreplace") + b"\n")
        except Exception:  # a line that cannot be made or taken must not reach whoever said it
            self.dropped += 1

    def _write(self) -> None:
        while True:
            one = self._lines.get()
            if isinstance(one, threading.Event):
                one.set()
                continue
            try:
                # each by a call of its own: other processes write to the same place
                os.write(self._descriptor, one)
            except OSError:
                self.dropped += 1

    def flush(self) -> None:
        """Wait until what waits is written, for a moment at most."""
        written = threading.Event()
        with suppress(queue.Full):
            self._lines.put_nowait(written)
            written.wait(END_PATIENCE_S)


class _OthersWarnings(logging.Filter):
    """Lets in what our own loggers say, and warnings of others."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Whether a record is let in."""
        return record.name.partition(".")[0] == OURS or record.levelno >= logging.WARNING


_writers: list[_Writer] = []


def set_up(form: Form, level: str) -> None:
    """Have everything this process logs written to standard error, from a level on; again has no further effect.

    Args:
        form: how a line looks
        level: of our own loggers, one of `LEVELS`; of others nothing below a warning is ever taken
    """
    if _writers:
        return
    number = logging.getLevelNamesMapping()[level.upper()]
    writer = _Writer(form, number)
    writer.addFilter(_OthersWarnings())
    _writers.append(writer)
    root = logging.getLogger()
    root.handlers[:] = [writer]
    root.setLevel(logging.WARNING)
    logging.getLogger(OURS).setLevel(number)
    logging.captureWarnings(True)
    atexit.register(flush)
    threading.excepthook = _log_thread


def _log_thread(ended: threading.ExceptHookArgs) -> None:
    error = ended.exc_value
    if error is not None:
        _log.error("a thread ended by an error", exc_info=(type(error), error, error.__traceback__))


def flush() -> None:
    """Wait until what was said is written, for a moment at most."""
    for one in _writers:
        one.flush()


def dropped() -> int:
    """Return how many lines were dropped in this process."""
    return sum(one.dropped for one in _writers)


def style() -> str:
    """Return form and level as `set_up` was told, `none` where it was not: for processes that this one starts.

    >>> style()
    'none'
    """
    return _writers[0].style if _writers else "none"


def set_up_like(style: str) -> None:
    """Set up logging as in the process that gave its `style`."""
    form, _, level = style.partition(":")
    if form in FORMS:
        set_up("json" if form == "json" else "text", level)
