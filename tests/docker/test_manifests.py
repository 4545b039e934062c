"""What no engine and no cluster reads here is read by others' schemas and parsers: compose file, manifests, alerts."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path
from typing import Any

import compose_spec
import kubernetes_validate
import pytest
import yaml

from tests.docker.recipe import DOCKER, compose

BLOCKS = re.findall(r"```yaml\n(.*?)```", (DOCKER / "kubernetes.md").read_text("utf-8"), re.DOTALL)
MANIFESTS: list[dict[str, Any]] = [found for block in BLOCKS for found in yaml.safe_load_all(block)]
VERSIONS = ("1.31", "1.34")


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("manifest", MANIFESTS, ids=lambda one: one["kind"])
def test_each_manifest_is_one_of_kubernetes(manifest: dict[str, Any], version: str) -> None:
    kubernetes_validate.validate(manifest, version, strict=True)


def test_a_manifest_with_a_wrong_field_is_found() -> None:
    pod = json.loads(json.dumps(next(one for one in MANIFESTS if one["kind"] == "Deployment")))
    pod["spec"]["template"]["spec"]["containers"][0]["readinessProb"] = {}
    with pytest.raises(kubernetes_validate.ValidationError):
        kubernetes_validate.validate(pod, VERSIONS[0], strict=True)


def test_the_compose_file_is_one() -> None:
    plain = yaml.safe_dump(compose())
    found = compose_spec.PyCompose.from_yaml(plain)
    found.validate()
    assert set(found.service_names()) == set(compose()["services"])
    with pytest.raises(ValueError, match="raed_only"):
        compose_spec.PyCompose.from_yaml(plain.replace("read_only", "raed_only"))


def test_alerts_are_read_and_ring_when_they_should(tmp_path: Path) -> None:
    for argv in (["check", "rules", DOCKER / "alerts.yaml"], ["test", "rules", DOCKER / "alerts.test.yaml"]):
        done = subprocess.run(["promtool", *argv], capture_output=True, text=True)
        assert done.returncode == 0, done.stdout + done.stderr


def test_a_collector_reads_what_it_is_to_collect(tmp_path: Path) -> None:
    text = (DOCKER / "kubernetes.md").read_text("utf-8")
    (block,) = [one for one in re.findall(r"```text\n(.*?)```", text, re.DOTALL) if "scrape_configs" in one]
    in_pods = yaml.safe_load(block)
    # Debian's promtool is built without Kubernetes
    assert in_pods["scrape_configs"][0].pop("kubernetes_sd_configs") == [
        {"role": "pod", "namespaces": {"names": ["deck-framing"]}}
    ]
    of_pods = tmp_path / "prometheus.yaml"
    of_pods.write_text(yaml.safe_dump(in_pods), "utf-8")
    for file in (DOCKER / "prometheus.yaml", of_pods):
        done = subprocess.run(["promtool", "check", "config", file], capture_output=True, text=True)
        assert done.returncode == 0, done.stdout + done.stderr


def test_every_query_of_the_dashboard_is_one(tmp_path: Path) -> None:
    board = json.loads((DOCKER / "dashboard.json").read_text("utf-8"))
    queries = [target["expr"] for panel in board["panels"] for target in panel["targets"]]
    assert queries
    rules = [{"record": f"panel:{number}", "expr": query.replace("$__rate_interval", "5m")}
             for number, query in enumerate(queries)]  # fmt: skip
    file = tmp_path / "rules.yaml"
    file.write_text(yaml.safe_dump({"groups": [{"name": "panels", "rules": rules}]}), "utf-8")
    done = subprocess.run(["promtool", "check", "rules", file], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
