"""What operators go by holds together: alerts name entries of the runbook, and metrics the service has."""

from __future__ import annotations

import json
import re
from pathlib import Path

import yaml

ROOT = Path(__file__).parents[2]
ALERTS = (ROOT / "docker" / "alerts.yaml").read_text("utf-8")
BOARD = (ROOT / "docker" / "dashboard.json").read_text("utf-8")
RULES = [rule for group in yaml.safe_load(ALERTS)["groups"] for rule in group["rules"]]
RUNBOOK = (ROOT / "DEVELOPERS.md").read_text("utf-8").partition("\n## Runbook\n")[2].partition("\n## ")[0]
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
