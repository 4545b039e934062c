"""What lies in `docker/` goes with the service: settings, calls, sizes, addresses, words, lock and licences."""

from __future__ import annotations

import re
import runpy
import tomllib
from importlib.metadata import distribution
from pathlib import Path
from typing import Any

import pytest
import yaml
from packaging.requirements import Requirement

from service import __version__
from service.cli.serve import STOP_PATIENCE_S
from service.contract.vocabulary import PROBLEM_KINDS
from service.settings import VARIABLES, Settings
from service.web.gate import PATIENCE_S
from service.web.price_books import UPLOAD_BYTES
from service.web.routes import STREAMS

ROOT = Path(__file__).parents[2]
DOCKER = ROOT / "docker"
COMPOSE: dict[str, Any] = yaml.safe_load((DOCKER / "compose.yaml").read_text("utf-8"))
SERVICES: dict[str, Any] = COMPOSE["services"]
DOCKERFILE = (DOCKER / "Dockerfile").read_text("utf-8")
NGINX = (DOCKER / "nginx.conf").read_text("utf-8")
LOCK = (DOCKER / "requirements.lock").read_text("utf-8")
KNOWN = {one.name for one in VARIABLES} | {one.file_name for one in VARIABLES if one.file_name}
OURS = [SERVICES[name] for name in ("prepare", "replica-1", "replica-2")]


KUBERNETES = (DOCKER / "kubernetes.md").read_text("utf-8")


def manifests() -> list[dict[str, Any]]:
    blocks = re.findall(r"```yaml\n(.*?)```", KUBERNETES, re.DOTALL)
    return [found for block in blocks for found in yaml.safe_load_all(block)]


def containers() -> list[dict[str, Any]]:
    return [
        container
        for manifest in manifests()
        if manifest["kind"] in ("Job", "Deployment")
        for container in manifest["spec"]["template"]["spec"]["containers"]
    ]


def environments() -> list[dict[str, str]]:
    of_pods = [{one["name"]: one["value"] for one in container["env"]} for container in containers()]
    return [*(service["environment"] for service in OURS), *of_pods]


def test_every_setting_given_is_one_the_service_has() -> None:
    given = {name for environment in environments() for name in environment}
    assert given - KNOWN == set()
    assert "DECK_FRAMING_PROXIES" in given
    image = re.findall(r"\b(DECK_FRAMING_\w+|WORKERS)=", DOCKERFILE)
    assert set(image) <= KNOWN


def test_the_owners_url_is_known_to_the_job_alone() -> None:
    for environment in environments():
        owner = [name for name in environment if "OWNER" in name]
        assert owner == ([] if "WORKERS" in environment else ["DATABASE_URL_OWNER_FILE"])
    assert [name for name, one in SERVICES.items() if "owner_url" in one.get("secrets", ())] == ["prepare"]


def test_passwords_come_from_files_that_no_commit_holds() -> None:
    assert all(one["file"].startswith("./secrets/") for one in COMPOSE["secrets"].values())
    assert "docker/secrets/" in (ROOT / ".gitignore").read_text("utf-8").splitlines()
    assert not re.search(r"postgresql://\w+:[^$.…]", KUBERNETES)
    written = re.findall(r'secret (\w+) |\$folder/(\w+)"', (DOCKER / "make-secrets.sh").read_text("utf-8"))
    assert {one or other for one, other in written} == set(COMPOSE["secrets"])


def test_what_runs_is_read_only_and_has_no_rights() -> None:
    for service in [*OURS, SERVICES["proxy"]]:
        assert service["read_only"] is True
        assert service["cap_drop"] == ["ALL"]
        assert service["security_opt"] == ["no-new-privileges:true"]
    for container in containers():
        found = container["securityContext"]
        assert found["readOnlyRootFilesystem"] is True
        assert found["allowPrivilegeEscalation"] is False
        assert found["capabilities"] == {"drop": ["ALL"]}
    users = re.findall(r"^USER (\S+)$", DOCKERFILE, re.MULTILINE)
    assert users == ["10001:10001"]


def test_the_proxy_and_the_replicas_have_the_addresses_that_are_believed() -> None:
    front = {
        name: SERVICES[name]["networks"]["front"]["ipv4_address"]
        for name in ("proxy", "replica-1", "replica-2")
    }
    assert re.findall(r"server (\S+):8000 ", NGINX) == [front["replica-1"], front["replica-2"]]
    for replica in ("replica-1", "replica-2"):
        assert SERVICES[replica]["environment"]["DECK_FRAMING_PROXIES"] == front["proxy"]
    assert re.findall(r"X-Forwarded-For (\S+);", NGINX) == ["$remote_addr"]


def test_the_proxy_streams_the_calls_that_stream() -> None:
    found = re.search(
        r"location ~ \^/v1/\(([a-z|-]+)\)/\?\$ \{\s*client_max_body_size (\d+)m;(.*?)\}", NGINX, re.DOTALL
    )
    assert found
    paths = sorted(path for handler in STREAMS for path in handler.paths)
    assert sorted(f"/v1/{name}" for name in found[1].split("|")) == paths
    assert "proxy_request_buffering off;" in found[3]
    assert "proxy_buffering off;" in found[3]
    most = SERVICES["replica-1"]["environment"]["DECK_FRAMING_MAX_BATCH_BYTES"]
    assert int(found[2]) << 20 == int(most)


def test_the_proxy_takes_bodies_as_large_as_the_service() -> None:
    most = next(int(one.default) for one in VARIABLES if one.field == "max_body_bytes")
    assert re.findall(r"^  client_max_body_size (\d+)k;", NGINX, re.MULTILINE) == [str(most >> 10)]
    assert re.findall(r"client_max_body_size (\d+)m;", NGINX)[1] == str(UPLOAD_BYTES >> 20)


def test_there_is_room_for_the_batches_that_may_run() -> None:
    given = SERVICES["replica-1"]["environment"]
    most = (
        int(given["WORKERS"])
        * int(given["DECK_FRAMING_BATCH_CALLS"])
        * int(given["DECK_FRAMING_MAX_BATCH_BYTES"])
    )
    room = re.search(r"size=(\d+)m", SERVICES["replica-1"]["tmpfs"][0])
    assert room
    assert int(room[1]) << 20 >= most
    pods = [one for one in manifests() if one["kind"] == "Deployment"]
    volume = pods[0]["spec"]["template"]["spec"]["volumes"][0]["emptyDir"]["sizeLimit"]
    assert volume == f"{room[1]}Mi"


def test_what_the_proxy_answers_itself_reads_like_the_service() -> None:
    found = re.findall(r"""return (\d+) '(\{.*?\})';""", NGINX)
    assert len(found) == 6
    for status, body in found:
        problem = yaml.safe_load(body)
        kind = PROBLEM_KINDS[problem["code"]]
        assert (problem["status"], problem["title"], problem["type"]) == (
            int(status), kind.title, f"/problems/{kind.code}",
        )  # fmt: skip
        assert kind.status == int(status)


def test_a_pod_is_given_longer_than_it_takes_to_stop() -> None:
    pod = next(one for one in manifests() if one["kind"] == "Deployment")["spec"]["template"]["spec"]
    waits = re.search(r"sleep\((\d+)\)", str(pod["containers"][0]["lifecycle"]))
    assert waits
    assert pod["terminationGracePeriodSeconds"] > int(waits[1]) + 10
    assert int(SERVICES["replica-1"]["stop_grace_period"].removesuffix("s")) > 10
    assert STOP_PATIENCE_S < 10
    for page in ((DOCKER / "compose.yaml").read_text("utf-8"), KUBERNETES):
        assert re.findall(r"(\d+) s (?:to be|in which what has begun is) finished", page) == [
            str(STOP_PATIENCE_S)
        ]


def locked() -> dict[str, set[str]]:
    """Versions by library, without those for other systems than this one."""
    found: dict[str, set[str]] = {}
    for line in re.findall(r"^[a-z0-9-]+==[^\\\n]+", LOCK, re.MULTILINE):
        one = Requirement(line.strip())
        if one.marker is None or one.marker.evaluate():
            found.setdefault(one.name, set()).add(str(one.specifier).removeprefix("=="))
    return found


def needed() -> dict[str, list[Requirement]]:
    """All that the service needs to run, and what that needs, by what is installed here."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    waiting = [
        Requirement(text) for text in (*project["dependencies"], *project["optional-dependencies"]["tracing"])
    ]
    found: dict[str, list[Requirement]] = {}
    while waiting:
        one = waiting.pop()
        name = re.sub(r"[-_.]+", "-", one.name).lower()
        known = {extra for earlier in found.get(name, ()) for extra in earlier.extras}
        first = name not in found
        found.setdefault(name, []).append(one)
        if not first and one.extras <= known:
            continue
        for text in distribution(name).requires or ():
            more = Requirement(text)
            if more.marker is None or any(
                more.marker.evaluate({"extra": extra}) for extra in ("", *one.extras)
            ):
                waiting.append(more)
    return found


def test_the_lock_holds_what_is_needed_and_nothing_else() -> None:
    wanted, found = needed(), locked()
    assert set(found) == set(wanted)
    for name, requirements in wanted.items():
        for one in requirements:
            assert all(one.specifier.contains(version) for version in found[name]), one


def test_the_lock_has_hashes_and_names_no_host() -> None:
    for name in (DOCKER / "requirements.lock", DOCKER / "build.lock"):
        text = name.read_text("utf-8")
        entries = re.split(r"^(?=[a-z0-9-]+==)", text, flags=re.MULTILINE)[1:]
        assert entries
        assert all(re.search(r"--hash=sha256:[0-9a-f]{64}", entry) for entry in entries)
        assert "://" not in text


def test_the_lock_goes_with_the_python_of_the_image() -> None:
    image = re.search(r"^ARG PYTHON=python:(\d+\.\d+)\.\d+-slim", DOCKERFILE, re.MULTILINE)
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    assert image
    assert project["project"]["requires-python"] == f">={image[1]}"


def test_image_and_job_are_named_after_the_version() -> None:
    assert "--no-deps dist/deck_framing-*.whl\n" in DOCKERFILE
    assert re.findall(r"--tag (\S+)", DOCKERFILE) == [f"deck-framing:{__version__}"]
    assert {service["image"] for service in OURS} == {f"deck-framing:{__version__}"}
    images = {container["image"].rpartition("/")[2] for container in containers()}
    assert images == {f"deck-framing:{__version__}"}
    jobs = [one["metadata"]["name"] for one in manifests() if one["kind"] == "Job"]
    assert jobs == [f"deck-framing-prepare-{__version__.replace('.', '-')}"]


def test_the_proxy_waits_for_as_long_as_the_service_may_take() -> None:
    work_s = max(int(one.get("DECK_FRAMING_WORK_SECONDS", Settings().work_seconds)) for one in environments())
    least_s = PATIENCE_S + 2 * work_s
    given = [int(seconds) for seconds in re.findall(r"proxy_read_timeout (\d+)s;", NGINX)]
    assert len(given) == 2
    assert min(given) >= least_s
    said = re.search(r"\| time for an answer \| (\d+) s", KUBERNETES)
    assert said
    assert int(said[1]) >= least_s
    assert f"twice the work seconds, {least_s:.0f}, at least" in (ROOT / "DEVELOPERS.md").read_text("utf-8")


def test_no_replica_is_left_out_for_slow_answers() -> None:
    servers = re.findall(r"^ +server \d\S+(.*);$", NGINX, re.MULTILINE)
    assert servers == [" max_fails=0"] * 2


def test_the_proxy_has_the_memory_that_its_connections_may_take() -> None:
    def kib(name: str, form: str = r"(\d+)k") -> list[int]:
        found = re.search(rf"^ +{name} {form};", NGINX, re.MULTILINE)
        assert found, name
        return [int(one) for one in found.groups()]

    workers = re.search(r"^worker_processes (\d+);", NGINX, re.MULTILINE)
    assert workers
    connections = int(workers[1]) * kib("worker_connections", r"(\d+)")[0]
    body = kib("client_body_buffer_size")[0]
    count, each = kib("proxy_buffers", r"(\d+) (\d+)k")
    answer = count * each + kib("proxy_buffer_size")[0]
    most_mib = max(connections * body, connections // 2 * (body + answer)) / 1024
    files = re.search(r"size=(\d+)m", SERVICES["proxy"]["tmpfs"][0])
    assert files
    assert SERVICES["proxy"]["mem_limit"] == "1g"
    assert most_mib + int(files[1]) <= 1024
    assert f"are {most_mib:.0f} MiB" in NGINX
    assert f"the {connections:,} the proxy has" in (ROOT / "DEVELOPERS.md").read_text("utf-8")


def test_a_replica_has_the_memory_for_the_heaviest_decks_in_every_place_at_once() -> None:
    """By the figures that the runbook gives, and a worker has two decks at most."""
    page = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    held = re.search(r"launcher (\d+) MB, each worker \d+ to (\d+), each process for batches (\d+)", page)
    heaviest = re.search(r"needs (\d+) MB more where it is worked", page)
    assert held
    assert heaviest
    launcher, worker, batch = (int(one) for one in held.groups())
    given = SERVICES["replica-1"]["environment"]
    files = re.search(r"size=(\d+)m", SERVICES["replica-1"]["tmpfs"][0])
    assert files
    most = launcher + int(files[1])
    most += int(given["WORKERS"]) * (worker + 2 * int(heaviest[1]))
    most += int(given["BATCH_WORKERS"]) * (batch + int(heaviest[1]))
    limit = SERVICES["replica-1"]["mem_limit"]
    assert int(limit.removesuffix("m")) >= most
    pod = next(one for one in manifests() if one["kind"] == "Deployment")["spec"]["template"]["spec"]
    assert pod["containers"][0]["resources"]["limits"]["memory"] == f"{limit}i".replace("m", "M")


def test_metrics_and_lines_are_had_by_who_collects_them_and_by_no_other() -> None:
    serving = [one for one in environments() if "WORKERS" in one]
    assert len(serving) == 3
    for environment in serving:
        assert environment["DECK_FRAMING_METRICS_HOST"] == "0.0.0.0"  # noqa: S104
        assert environment["DECK_FRAMING_LOG"] == "json"
    (port,) = {int(one["DECK_FRAMING_METRICS_PORT"]) for one in serving}
    (scraped,) = yaml.safe_load((DOCKER / "prometheus.yaml").read_text("utf-8"))["scrape_configs"]
    replicas = [name for name in SERVICES if name.startswith("replica-")]
    assert scraped["static_configs"][0]["targets"] == [f"{name}:{port}" for name in replicas]
    assert [name for name, one in SERVICES.items() if "watch" in one["networks"]] == replicas
    assert COMPOSE["networks"]["watch"] == {"internal": True}
    asked = set(re.findall(r'up\{job="([^"]+)"\}', (DOCKER / "alerts.yaml").read_text("utf-8")))
    assert asked == {scraped["job_name"]}
    assert f"job_name: {scraped['job_name']}\n" in KUBERNETES


def test_only_the_collector_reaches_the_metrics_of_a_pod_and_only_the_proxy_its_calls() -> None:
    ports = {one["name"]: one["containerPort"] for one in containers()[1]["ports"]}
    assert str(ports["metrics"]) == environments()[-1]["DECK_FRAMING_METRICS_PORT"]
    policy = next(one for one in manifests() if one["kind"] == "NetworkPolicy")["spec"]["ingress"]
    let_in = {
        where["namespaceSelector"]["matchLabels"]["kubernetes.io/metadata.name"]: [
            one["port"] for one in rule["ports"]
        ]
        for rule in policy
        for where in rule["from"]
    }
    assert let_in == {"ingress-nginx": [ports["http"]], "monitoring": [ports["metrics"]]}
    service = next(one for one in manifests() if one["kind"] == "Service")["spec"]
    assert [one["targetPort"] for one in service["ports"]] == ["http"]


def test_the_autoscaler_alone_says_how_many_pods_there_are() -> None:
    pods = next(one for one in manifests() if one["kind"] == "Deployment")
    assert "replicas" not in pods["spec"]
    probe = pods["spec"]["template"]["spec"]["containers"][0]["readinessProbe"]
    assert (probe["timeoutSeconds"], probe["failureThreshold"]) == (5, 6)


def test_a_certificate_for_a_trial_outlasts_the_warning_of_its_end() -> None:
    made = (DOCKER / "make-secrets.sh").read_text("utf-8")
    (days,) = re.findall(r"-days (\d+)", made)
    assert f"good for {days} days" in made
    page = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    assert f"good for {days} days" in page
    (warned_s,) = re.findall(r"-checkend (\d+)", page)
    assert int(warned_s) < int(days) * 86_400


LICENCES = runpy.run_path(str(DOCKER / "licences.py"))


def test_the_list_of_licences_is_current() -> None:
    assert (DOCKER / "licences.md").read_text("utf-8") == LICENCES["page"]()


@pytest.mark.parametrize("licence", ["GPL-3.0-only", "AGPL-3.0-only", "MIT AND GPL-2.0-only", "Proprietary"])
def test_a_licence_that_is_not_allowed_is_found(licence: str) -> None:
    assert LICENCES["strangers"](licence)
