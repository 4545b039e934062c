"""What operators go by holds together: alerts name entries of the runbook, and metrics the service has."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import click
import pytest
import yaml

from service.cli import main
from service.contract.vocabulary import PROBLEM_KINDS
from service.web.seen import names

ROOT = Path(__file__).parents[2]
ALERTS = (ROOT / "docker" / "alerts.yaml").read_text("utf-8")
BOARD = (ROOT / "docker" / "dashboard.json").read_text("utf-8")
RULES = [rule for group in yaml.safe_load(ALERTS)["groups"] for rule in group["rules"]]
PAGE = (ROOT / "DEVELOPERS.md").read_text("utf-8")
RUNBOOK = PAGE.partition("\n## Runbook\n")[2].partition("\n## ")[0]
SCALE = PAGE.partition("\n## Scale\n")[2]
SERVICES = set(yaml.safe_load((ROOT / "docker" / "compose.yaml").read_text("utf-8"))["services"])
ENTRIES = RUNBOOK.split("\n### ")[1:]


def metrics_in_code() -> set[str]:
    """Every name like a metric's that stands in the code as a text, with what a histogram is scraped as."""
    found = {
        name
        for file in (ROOT / "service").rglob("*.py")
        for name in re.findall(r'"(deck_framing_[a-z_]+)"', file.read_text("utf-8"))
    }
    return found | {f"{name}{end}" for name in found for end in ("_bucket", "_sum", "_count")}


def test_every_metric_named_is_one_the_service_has() -> None:
    queries = [rule["expr"] for rule in RULES]
    queries += [target["expr"] for panel in json.loads(BOARD)["panels"] for target in panel["targets"]]
    named = {name for query in queries for name in re.findall(r"deck_framing_\w+", query)}
    assert len(named) > 15
    assert named - metrics_in_code() == set()


def test_every_alert_names_its_entry_of_the_runbook() -> None:
    titles = {entry.partition("\n")[0] for entry in ENTRIES}
    assert {rule["annotations"]["runbook"] for rule in RULES} <= titles
    assert {rule["alert"] for rule in RULES} <= set(re.findall(r"`(DeckFraming\w+)`", RUNBOOK))


def test_every_entry_says_sign_look_and_do() -> None:
    assert len(ENTRIES) >= 14
    for entry in ENTRIES:
        assert re.findall(r"^- (\w+):", entry, re.MULTILINE) == ["Sign", "Look", "Do"], entry[:40]


def test_codes_of_problems_in_alerts_begin_at_0() -> None:
    asked = {code for rule in RULES for code in re.findall(r'code="(\w+)"', rule["expr"])}
    assert asked == set(names.CODES_FROM_THE_START)
    assert asked <= set(PROBLEM_KINDS)


def test_what_is_slow_can_be_told_from_the_buckets() -> None:
    bounds = {"request": names.REQUEST_BUCKETS_S, "stage": names.STAGE_BUCKETS_S}
    for sort, rule in re.findall(r"deck_framing_(?:http_)?(request|stage)_duration_seconds_bucket(.*?)\n        for:",
                                 ALERTS, re.DOTALL):  # fmt: skip
        limit = re.search(r"> ([\d.]+)$", rule)
        assert limit
        assert float(limit[1]) in bounds[sort]
    assert min(names.REQUEST_BUCKETS_S[-1], names.STAGE_BUCKETS_S[-1]) >= 210


def test_a_compose_command_of_the_runbook_is_for_a_service_there_is() -> None:
    named = re.findall(r"docker compose (?:exec|logs|up|run|rm) ((?:-\S+ |\d+m? )*)([a-z][\w-]*)", RUNBOOK)
    assert len(named) > 10
    assert {service for _, service in named} - {"replica-3"} <= SERVICES
    assert "nginx -s reload" not in RUNBOOK, "files mounted by themselves stay the old ones"


@pytest.mark.parametrize("line", sorted(set(re.findall(r"`deck-framing ([^`]+)`", RUNBOOK))))
def test_a_command_of_the_runbook_is_one_the_service_has(line: str) -> None:
    found: click.Command = main
    for word in line.split():
        if not isinstance(found, click.Group):
            break
        assert word in found.commands, line
        found = found.commands[word]
    options = {name for one in found.params for name in one.opts}
    assert {word for word in line.split() if word.startswith("--")} <= options


def test_the_table_of_scale_follows_from_the_one_figure_measured() -> None:
    measured = re.search(r"took ([\d,]+) ms of one core", SCALE)
    assert measured
    wanted = [scaled(int(measured[1].replace(",", "")) * share) for share in (1.0, 0.5)]
    rows = [line.split(" | ")[1:] for line in SCALE.splitlines() if line.startswith("| ")][1:]
    found = [[row[column].rstrip(" |") for row in rows] for column in (0, 1)]
    assert found == wanted
    workers = f"{int(wanted[0][2]) * 16:,}"
    assert f"the {workers} workers of the table's first column are {workers} queries a second" in SCALE


def scaled(cores: float) -> list[str]:
    """A column of the table: for so many cores at work."""
    have = cores / 0.75
    replicas = math.ceil(have / 16)
    each_gb = round((95 + 16 * (210 + 135)) / 1000, 1)
    told = (cores, have, replicas)
    return [
        *(f"{one:,.0f}" for one in told),
        f"{each_gb} GB",
        f"{replicas * each_gb:,.0f} GB",
        f"{replicas * 32:,}",
    ]
