"""A running service and its database attacked with cases generated from its document, in every phase.

Not a test: `PYTHONPATH=.:tests python -m contract.fuzz 20000` starts `deck-framing serve` on a database of its own,
sends at least so many cases, with a key that may do everything there, and fails on the first kind of failure found.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import httpx

from tests.contract.generated_cases import (
    EDITION,
    IN_LINES,
    NAMES_ANOTHER,
    OWN_BOOK,
    PLACE,
    SAME_SPEC,
    TAKES_A_SPEC,
)
from tests.serving import ROOT, environment, key_of, serving

SCOPES = ("designs", "prices:read", "prices:write", "rules:write", "rules:publish", "admin")
DESIGNS = ("createDesign", "createTakeoff", "compareFootings", "drawSheet", "createPermitPackage")
# A whole design takes a hundred times as long as an answer from memory, and a line waits for a process besides.
DESIGN_SHARE, LINE_SHARE = 8, 40
# About as many calls there are that are sent their whole share.
CALLS = 40
PATIENCE_S = 300
# What is written may be there already, be of a day gone by or have been changed since.
WRITES = (
    "createPriceBook", "uploadPriceBookVersion",
    *(f"{verb}{kind}" for kind in ("RulebookDraft", "JurisdictionDraft")
      for verb in ("create", "change", "discard", "validate")),
    *(f"{verb}{kind}Version" for kind in ("Rulebook", "Jurisdiction") for verb in ("publish", "withdraw")),
)  # fmt: skip
# A tag that is none, or is not sent, is refused by the statuses that HTTP has for it.
REFUSED_TAG = ["400", "401", "403", "404", "406", "409", "412", "415", "422", "428"]


def settings_of(each: int) -> str:
    """Return the tool's settings, for so many cases of a call in a phase."""
    lines = [
        'hooks = "tests.contract.generated_cases"',
        "continue-on-failure = true",
        f"request-timeout = {PATIENCE_S}",
        f"generation.max-examples = {each}",
    ]
    for name in sorted({*TAKES_A_SPEC, *NAMES_ANOTHER, *WRITES, *IN_LINES}):
        taken = (
            ["2xx", "403", "404", "409", "412", "422"]
            if name in WRITES
            else ["2xx", "403", "404", "409", "422"]
        )
        lines += ["[[operations]]", f'include-operation-id = "{name}"']
        if name in DESIGNS:
            lines.append(f"generation.max-examples = {max(1, each // DESIGN_SHARE)}")
        lines.append(f"checks.positive_data_acceptance.expected-statuses = {json.dumps(taken)}")
        if name in WRITES:
            lines += [
                f"checks.{check}.expected-statuses = {json.dumps(REFUSED_TAG)}"
                for check in ("negative_data_rejection", "missing_required_header")
            ]
        if name in (*SAME_SPEC, *IN_LINES):
            lines.append("phases.coverage.enabled = false")
        if name in IN_LINES:
            lines.append(f"generation.max-examples = {max(1, each // LINE_SHARE)}")
            told = ["200", "400", "401", "403", "404", "406", "415", "422"]
            lines.append(f"checks.negative_data_rejection.expected-statuses = {json.dumps(told)}")
    return "\n".join(lines) + "\n"


def attack(address: str, key: str, folder: Path, each: int, *more: str) -> dict[str, Any]:
    """Run the tool; return its report and how many cases there were by phase."""
    report, counts, given = folder / "report.json", folder / "counts.json", folder / "schemathesis.toml"
    given.write_text(settings_of(each), "utf-8")
    tool = Path(sys.executable).parent / "schemathesis"
    command = [
        str(tool), "--config-file", str(given), "run", f"{address}/openapi.json", "--report", "json",
        "--report-json-path", str(report), "--header", f"Authorization: Bearer {key}", "--generation-database", "none",
        "--workers", "2", *more,
    ]  # fmt: skip
    subprocess.run(command, cwd=ROOT, env=environment(CASE_COUNTS=str(counts)))
    return {**json.loads(report.read_text("utf-8")), "sent": json.loads(counts.read_text("utf-8"))}


def main(least: int, *more: str) -> int:
    """Attack; return 1 where there was a failure, or fewer cases than asked for."""
    each = max(2, least // CALLS)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with serving(folder / "data") as address:
            key = key_of(folder / "data", *SCOPES, rules_of=(EDITION, PLACE))
            own = {
                "headers": {"Authorization": f"Bearer {key}"},
                "json": {"id": OWN_BOOK},
                "trust_env": False,
            }
            httpx.post(f"{address}/v1/price-books", **own).raise_for_status()
            found = attack(address, key, folder, each, *more)
    failures, errors = found["test_cases"]["unique_failures"], len(found["errors"])
    total = sum(found["sent"].values())
    print(f"cases by phase: {found['sent']}, {total} in all; {failures} failures, {errors} errors; "
          f"{found['running_time']:.0f} s")  # fmt: skip
    whole = found["complete"] and all(found["sent"].values()) and total >= least
    return 0 if whole and not failures and not errors else 1


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), *sys.argv[2:]))
