"""`deck-framing openapi`: the released document and its examples."""

from __future__ import annotations

import difflib
import json
import tomllib
from pathlib import Path
from typing import Any

import click
import msgspec

from service import __version__
from service.app import bundled_snapshot, make_desk
from service.contract.report import DesignReport
from service.pipeline import design
from service.web.desk import Desk
from service.web.openapi.breaking import breaking_changes
from service.web.openapi.build import document, document_text
from service.web.resolve import context_of, read_spec

FULL_ANSWER = "ledger-composite"
RELEASED, ACCEPTED = "released", "accepted.toml"
_NONE_ACCEPTED = (
    "# What breaks a client of the released document and is meant to: [[breaking]], change and reason.\n"
)
_FOLDER = click.option(
    "--folder",
    default="openapi",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of the released document.",
)
_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.group()
def openapi() -> None:
    """Write, check and compare the OpenAPI document.

    \b
    Example:
      deck-framing openapi check
    """


@openapi.command()
@_FOLDER
def write(folder: Path) -> None:
    """Write the document, what each example is answered, and one answer in full.

    \b
    Example:
      deck-framing openapi write
    """
    for file, text in _files(folder).items():
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, "utf-8")
        click.echo(f"wrote {file}")


@openapi.command()
@_FOLDER
def check(folder: Path) -> None:
    """Fail when what `write` would write differs from what is there.

    \b
    Example:
      deck-framing openapi check
    """
    stale = [line for file, text in _files(folder).items() for line in differences(file, text)]
    if stale:
        raise click.ClickException("\n".join([*stale, "run: deck-framing openapi write"]))
    click.echo("the document and its examples are up to date")


@openapi.command()
@_FOLDER
@click.argument("old", required=False, type=_FILE)
@click.argument("new", required=False, type=_FILE)
def diff(folder: Path, old: Path | None, new: Path | None) -> None:
    """Show what in NEW would break a client of OLD; fail when anything would.

    OLD is the last released document unless given, NEW the present one. What is accepted, each with its reason, is
    in released/accepted.toml; what is listed there and breaks nothing fails too.

    \b
    Example:
      deck-framing openapi diff
    """
    before = (old or _last_released(folder)).read_text("utf-8")
    after = new.read_text("utf-8") if new else document_text()
    found = breaking_changes(json.loads(before), json.loads(after))
    accepted = [] if old else _accepted(folder)
    wrong = [
        *(f"this would break clients: {change}" for change in found if change not in accepted),
        *(f"accepted, but not so: {change}" for change in accepted if change not in found),
    ]
    if wrong:
        raise click.ClickException("\n".join(wrong))
    click.echo(
        f"nothing else would break a client ({len(found)} accepted)"
        if found
        else "nothing would break a client"
    )


@openapi.command()
@_FOLDER
def release(folder: Path) -> None:
    """Keep the present document as the released one of this version; nothing is accepted against it.

    \b
    Example:
      deck-framing openapi release
    """
    file = folder / RELEASED / f"{__version__}.json"
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(json.dumps(document(), ensure_ascii=False, separators=(",", ":")) + "\n", "utf-8")
    (folder / RELEASED / ACCEPTED).write_text(_NONE_ACCEPTED, "utf-8")
    click.echo(f"wrote {file}")


def _last_released(folder: Path) -> Path:
    found = {_numbers(path.stem): path for path in (folder / RELEASED).glob("*.json")}
    if not found:
        raise click.ClickException(
            f"{folder / RELEASED} holds no released document: deck-framing openapi release"
        )
    return found[max(found)]


def _numbers(version: str) -> tuple[int, ...]:
    return tuple(int(part) for part in version.split("."))


def _accepted(folder: Path) -> list[str]:
    """What breaks and is meant to, from the list of it; each with a reason."""
    file = folder / RELEASED / ACCEPTED
    listed = tomllib.loads(file.read_text("utf-8")).get("breaking", []) if file.is_file() else []
    bare = [one["change"] for one in listed if not one.get("reason", "").strip()]
    if bare:
        raise click.ClickException("\n".join(f"accepted without a reason: {change}" for change in bare))
    return [one["change"] for one in listed]


def _files(folder: Path) -> dict[Path, str]:
    desk = make_desk(bundled_snapshot())
    specs = sorted(path for path in (folder / "examples").glob("*.json") if not _is_written(path))
    reports = {path.stem: _report(path, desk) for path in specs}
    found = {
        folder / "openapi.json": document_text(),
        folder / "examples" / "answers.json": _text(
            [_outline(name, report) for name, report in reports.items()]
        ),
    }
    if FULL_ANSWER in reports:
        answer = msgspec.to_builtins(reports[FULL_ANSWER])
        found[folder / "examples" / f"{FULL_ANSWER}.answer.json"] = _text(answer)
    return found


def _is_written(path: Path) -> bool:
    return path.name == "answers.json" or path.name.endswith(".answer.json")


def _report(path: Path, desk: Desk) -> DesignReport:
    spec = read_spec(path.read_bytes(), desk)
    return design(spec, context_of(spec, desk), with_wishes=True)


def _outline(name: str, report: DesignReport) -> dict[str, Any]:
    """The few figures of an answer by which a change of it is noticed."""
    total = report.takeoff.total
    return {
        "example": f"{name}.json",
        "design_id": report.design_id,
        "verdict": report.verdict.status,
        "reasons": [reason.code for reason in report.verdict.reasons],
        "attachment": report.attachment.kind,
        "footings": len(report.footings),
        "checks": len(report.checks),
        "total": None if total is None else {"amount": total.amount, "complete": total.complete},
    }


def _text(value: Any) -> str:
    return json.dumps(value, indent=1, ensure_ascii=False) + "\n"


def differences(file: Path, text: str, shown: int = 12) -> list[str]:
    """Return in lines how a file differs from the text it should hold; nothing where it does not."""
    if not file.is_file():
        return [f"{file} is missing"]
    lines = difflib.unified_diff(file.read_text("utf-8").splitlines(), text.splitlines(), lineterm="", n=0)
    changed = [line for line in lines if not line.startswith(("---", "+++", "@@"))]
    if not changed:
        return []
    more = [f"  and {len(changed) - shown} more"] if len(changed) > shown else []
    return [
        f"{file} is stale: {len(changed)} lines differ",
        *(f"  {line[:76]}" for line in changed[:shown]),
        *more,
    ]
