"""Log lines: one record a line whatever is in it, nothing of what was sent, and nobody waits for their reader."""

from __future__ import annotations

import json
import logging
import subprocess
import sys
from pathlib import Path

import pytest

from service.web.logs import MOST_WAITING, as_json, as_text, event, told_of
from service.web.seen.access_lines import fields
from service.web.seen.operations import NO_OPERATION
from service.web.seen.request import Seen

ROOT = Path(__file__).parents[2]
HOSTILE = "a\nb\r\x1b[31mred\x00\u2028\u0085\"}{\\'é%s%d\ud800"
OURS, OTHERS = logging.getLogger("deck_framing.web"), logging.getLogger("uvicorn.error")


def record(logger: logging.Logger, template: str, *arguments: object, error: BaseException | None = None):
    info = None if error is None else (type(error), error, error.__traceback__)
    return logger.makeRecord(logger.name, logging.ERROR, "file.py", 1, template, arguments, info)


def said(script: str, **options: object) -> subprocess.CompletedProcess[str]:
    """What a process of its own writes that logs."""
    begin = f"import logging; from service.web.logs import *; log = logging.getLogger('deck_framing.web'); {script}"
    return subprocess.run(
        [sys.executable, "-c", begin], cwd=ROOT, stdout=subprocess.PIPE, text=True, timeout=60, **options
    )


def test_a_hostile_text_is_one_line_of_ascii():
    told = told_of(record(OURS, "at %s", HOSTILE)) | {"field": HOSTILE}
    for line in (as_json(told), as_text(told)):
        assert len(line.splitlines()) == 1
        assert line.isascii()
        assert line.isprintable()
    assert json.loads(as_json(told))["field"] == HOSTILE


def test_a_text_is_cut_at_its_first_line():
    told = told_of(record(OURS, "%s: %s", "request", "duplicate key\nDETAIL:  Key (item)=(secret) exists"))
    assert told["message"] == "request: duplicate key"


def test_of_others_only_templates_and_numbers_are_told():
    told = told_of(record(OTHERS, "took %d from %s\nsecret", 3, "secret"))
    assert told["message"] == "took 3 from …"
    assert "secret" not in as_json(told_of(record(OTHERS, "%(a)s %(b)d", {"a": "secret", "b": 2})))
    assert told_of(record(OTHERS, "%d", "secret"))["message"] == "%d"


def test_an_error_tells_its_kind_and_place_and_no_message():
    try:
        raise ValueError("secret")
    except ValueError as error:
        told = told_of(record(OTHERS, "Exception in ASGI application\n", error=error))
    assert told["error"] == "ValueError"
    assert str(told["error_at"]).startswith("test_log_lines.py:")
    assert "secret" not in as_json(told)


def test_an_event_has_its_fields(caplog):
    with caplog.at_level(logging.INFO, "deck_framing.web"):
        event(OURS, logging.INFO, "snapshot_changed", "a newer snapshot", revision=7)
    told = told_of(caplog.records[-1])
    assert (told["event"], told["revision"]) == ("snapshot_changed", 7)
    assert set(told) >= {"time", "level", "logger", "message", "pid"}


def test_the_level_is_for_our_own_loggers():
    script = (
        "set_up('json', 'debug'); set_up('text', 'error'); log.debug('ours'); "
        "others = logging.getLogger('sqlalchemy.engine'); others.setLevel('DEBUG'); others.info('secret'); "
        "others.warning('theirs'); import warnings; warnings.warn('secret'); "
        "import threading; t = threading.Thread(target=lambda: int('secret')); t.start(); t.join()"
    )
    found = said(script, stderr=subprocess.STDOUT)
    lines = [json.loads(line) for line in found.stdout.splitlines()]
    assert [(one["level"], one["message"]) for one in lines] == [
        ("debug", "ours"),
        ("warning", "theirs"),
        ("warning", "<string>:1: UserWarning"),
        ("error", "a thread ended by an error"),
    ]
    assert lines[-1]["error"] == "ValueError"
    assert "secret" not in found.stdout


def test_a_closed_standard_error_costs_lines_and_nothing_else():
    for close in ("os.close(2)", "os.close(2); r, w = os.pipe(); os.dup2(w, 2); os.close(r)"):
        found = said(
            f"set_up('json', 'info'); {close}; log.info('x'); flush(); print(dropped(), 'went on')",
            stderr=subprocess.PIPE,
        )
        assert found.stdout == "1 went on\n", close
        assert found.returncode == 0


def test_nobody_waits_for_a_reader_that_takes_nothing():
    """A pipe that is full: what is said beyond the bound is dropped, counted, and the process ends all the same."""
    script = (
        "r, w = os.pipe(); os.dup2(w, 2); set_up('json', 'info'); "
        f"[log.info('x' * 100) for _ in range({MOST_WAITING} + 2000)]; print(dropped() > 1000, dropped() < 2000)"
    )
    assert said(script, stderr=subprocess.PIPE).stdout == "True True\n"


@pytest.mark.parametrize(("form", "begins"), [("json", "{"), ("text", "20")])
def test_processes_started_log_alike(form, begins):
    script = (
        f"set_up('{form}', 'warning'); s = style(); from service.web import logs; logs._writers.clear(); "
        "set_up_like(s); log.info('no'); log.warning('yes'); flush(); print(style() == s)"
    )
    found = said(script, stderr=subprocess.PIPE)
    assert found.stdout == "True\n"
    assert found.stderr.startswith(begins)
    assert found.stderr.count("\n") == 1


def test_a_line_tells_waiting_and_work_apart():
    request = Seen("POST", NO_OPERATION, None, ())
    assert "waiting_ms" not in fields(request)
    for name, began, ended in (("waiting", 1.0, 1.25), ("search", 1.25, 9.0), ("waiting", 9.0, 9.5)):
        request.stage(name, began, ended)
    assert fields(request)["waiting_ms"] == 750.0
