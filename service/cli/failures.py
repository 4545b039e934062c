"""Failures a person can act on end in one line, not in a trace."""

from __future__ import annotations

from typing import Any

import click

from service.contract.problem import Rejected
from service.rules.faults import TableRefused
from service.settings import SettingError
from service.store.errors import NotServed, StoreError


class Failures(click.Group):
    """A group of commands whose known failures are told plainly."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command asked for."""
        try:
            return super().invoke(ctx)
        except (StoreError, SettingError, NotServed, OSError) as failure:
            raise click.ClickException(str(failure)) from failure
        except TableRefused as refused:
            raise click.ClickException("\n".join(str(fault) for fault in refused.faults)) from refused
        except Rejected as refused:
            raise click.ClickException(told(refused)) from refused


def told(refused: Rejected) -> str:
    """Return a refusal with its faults, a line each."""
    lines = [f"{fault.pointer or '/'}: {fault.detail} ({fault.code})" for fault in refused.faults]
    return "\n  ".join([f"{refused.code}: {refused.detail}", *lines])
