"""Every metric of the service: its name, sort, labels, meaning; dashboards and alert rules are written from here.

A counter ends in `_total`; a unit ends the name before that (`_seconds`, `_bytes`). Labels hold fixed words alone,
never a path, an id, a key or a word of a caller:

- `operation`: operation id as in the document (`createDesign`), `none` where no operation is at the path;
- `method`: GET, HEAD, POST, PATCH, PUT, DELETE, OPTIONS or `other`;
- `status`: class of the status, `2xx` to `5xx`, or `none` where the client left before an answer began;
- `verdict`: prescriptive, engineer_required, not_permitted;
- `code`: code of a problem, as at `/problems/{code}`;
- `stage`: one of `STAGES`;
- `gate`: designs, uploads, comparisons;
- `kind`: result, problem;
- `role`: launcher, server, batch.

All are over every process of one `deck-framing serve`; each meaning says how.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from service.choice.level.watch import STAGES as DESIGN_STAGES

Sort = Literal["counter", "gauge", "histogram"]
Over = Literal["livesum", "livemin", "livemax"]

# waiting: for the gate; encode: JSON or CSV written; svg, pdf: sheets drawn, pages set
WAITING = "waiting"
STAGES = (WAITING, *DESIGN_STAGES, "encode", "svg", "pdf")
# up to beyond the time that a turn may be waited for and a design may take
REQUEST_BUCKETS_S = (
    0.005, 0.01, 0.025, 0.05, 0.1, 0.2, 0.3, 0.5, 0.75, 1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 240.0,
)  # fmt: skip
STAGE_BUCKETS_S = (
    0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.2, 0.3, 0.5, 1.0, 2.0, 5.0, 10.0, 30.0, 60.0, 120.0, 240.0,
)  # fmt: skip
# A counter that begins with its first event is no increase to whoever reads it: alerts on one event need these at 0.
CODES_FROM_THE_START = ("internal", "no_rulebook", "overloaded")


@dataclass(frozen=True)
class Metric:
    """One metric.

    Attributes:
        name: as it is scraped
        sort: counter, gauge or histogram (then `_bucket`, `_sum`, `_count` are scraped)
        labels: names of its labels
        meaning: its help text
        over: how a gauge goes together over the processes that live: their sum, least or greatest
        buckets: upper bounds of a histogram, in seconds
    """

    name: str
    sort: Sort
    labels: tuple[str, ...]
    meaning: str
    over: Over = "livesum"
    buckets: tuple[float, ...] = ()


REQUESTS = Metric(
    "deck_framing_http_requests_total",
    "counter",
    ("operation", "method", "status"),
    "Requests that have ended",
)
REQUEST_SECONDS = Metric(
    "deck_framing_http_request_duration_seconds",
    "histogram",
    ("operation",),
    "Seconds from the head of a request to the end of its answer; an NDJSON call lasts as long as its lines do",
    buckets=REQUEST_BUCKETS_S,
)
IN_FLIGHT = Metric(
    "deck_framing_http_requests_in_flight", "gauge", (), "Requests that have begun and not ended"
)
PROBLEMS = Metric(
    "deck_framing_problems_total", "counter", ("operation", "code"), "Answers that are a problem, by its code"
)
PUBLISHABLE_REFUSALS = Metric(
    "deck_framing_publishable_refusals_total",
    "counter",
    (),
    "Requests with a publishable key refused as too many from one address",
)
DESIGNS = Metric(
    "deck_framing_designs_total",
    "counter",
    ("operation", "verdict"),
    "Designs answered, in a call of their own or as a line of an NDJSON call",
)
STAGE_SECONDS = Metric(
    "deck_framing_stage_duration_seconds",
    "histogram",
    ("stage",),
    "Seconds of one stage of an answer: waiting for the gate, criteria, search, report and beside of the design, "
    "encode, svg, pdf",
    buckets=STAGE_BUCKETS_S,
)
GATE_INSIDE = Metric(
    "deck_framing_gate_inside",
    "gauge",
    ("gate",),
    "Calls let in and not done: worked on or waiting; sum over workers, seen once a second",
)
GATE_WAITING = Metric(
    "deck_framing_gate_waiting",
    "gauge",
    ("gate",),
    "Of those, calls that wait; sum over workers, seen once a second",
)
GATE_LIMIT = Metric(
    "deck_framing_gate_limit",
    "gauge",
    ("gate",),
    "Calls that may be inside; beyond that they are refused (problem code overloaded); sum over workers",
)
BATCH_CALLS = Metric(
    "deck_framing_batch_calls_in_progress",
    "gauge",
    ("operation",),
    "NDJSON calls that have begun and not ended; sum over workers",
)
BATCH_LINES = Metric(
    "deck_framing_batch_lines_total", "counter", ("operation", "kind"), "Lines of NDJSON calls worked"
)
BATCH_PROBLEMS = Metric(
    "deck_framing_batch_line_problems_total",
    "counter",
    ("operation", "code"),
    "Lines of NDJSON calls that came to a problem, by its code",
)
SNAPSHOT_AGE = Metric(
    "deck_framing_snapshot_age_seconds",
    "gauge",
    (),
    "Seconds since the database was last seen, in the worker where that is longest; about 1 while all is well, "
    "absent without a database",
    over="livemax",
)
# Not scraped: the moment the age is counted from, so that a worker that hangs grows old too.
SNAPSHOT_SEEN_AT = Metric(
    "deck_framing_snapshot_seen_at", "gauge", (), "Moment of the clock that never goes back", over="livemin"
)
SNAPSHOT_REVISION = Metric(
    "deck_framing_snapshot_revision",
    "gauge",
    (),
    "Count of the changes of the database in the snapshot answered from, in the worker furthest behind",
    over="livemin",
)
SNAPSHOT_REVISION_NEWEST = Metric(
    "deck_framing_snapshot_revision_newest",
    "gauge",
    (),
    "The same in the worker furthest ahead; they differ for less than a second while all is well",
    over="livemax",
)
DAMAGED_VERSIONS = Metric(
    "deck_framing_damaged_versions",
    "gauge",
    (),
    "Published versions of rulebooks, jurisdictions and price books that cannot be served, in the worker with most",
    over="livemax",
)
DATABASE_REACHABLE = Metric(
    "deck_framing_database_reachable",
    "gauge",
    (),
    "1 while every worker reaches the database, 0 while one does not; absent without a database",
    over="livemin",
)
LOG_LINES_DROPPED = Metric(
    "deck_framing_log_lines_dropped_total",
    "counter",
    (),
    "Log lines that nobody took quickly enough, or that could not be written",
)
PROCESSES = Metric(
    "deck_framing_processes",
    "gauge",
    ("role",),
    "Processes that live: launcher of several workers, servers that answer requests, those for batches",
)
CPU_SECONDS = Metric(
    "deck_framing_process_cpu_seconds_total",
    "counter",
    ("role",),
    "CPU seconds of all processes of a role, ended ones with what was last seen of them",
)
RESIDENT_BYTES = Metric(
    "deck_framing_process_resident_memory_bytes",
    "gauge",
    ("role",),
    "Resident memory of the processes of a role that live",
)
BUILD_INFO = Metric(
    "deck_framing_build_info",
    "gauge",
    ("engine_version", "python_version"),
    "Always 1; its labels say what runs",
)

# counted in the processes that answer
COUNTED = (
    REQUESTS, REQUEST_SECONDS, IN_FLIGHT, PROBLEMS, PUBLISHABLE_REFUSALS, DESIGNS, STAGE_SECONDS, GATE_INSIDE,
    GATE_WAITING, GATE_LIMIT, BATCH_CALLS, BATCH_LINES, BATCH_PROBLEMS, SNAPSHOT_SEEN_AT, SNAPSHOT_REVISION,
    SNAPSHOT_REVISION_NEWEST, DAMAGED_VERSIONS, DATABASE_REACHABLE, LOG_LINES_DROPPED,
)  # fmt: skip
# looked up when they are scraped
LOOKED_UP = (SNAPSHOT_AGE, PROCESSES, CPU_SECONDS, RESIDENT_BYTES, BUILD_INFO)
METRICS = (*(one for one in COUNTED if one is not SNAPSHOT_SEEN_AT), *LOOKED_UP)
