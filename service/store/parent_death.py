"""A signal to a process when the one that started it is gone, however that ended; Linux alone has it."""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Callable

SET_PARENT_DEATH_SIGNAL = 1


def signal_with_parent(number: int, parent: int) -> Callable[[], None] | None:
    """Return what a process calls to be sent a signal when its parent ends; None where there is no such thing.

    It goes by the thread of the parent that started the process.

    Args:
        number: of the signal
        parent: number of the process that has to be the parent still; if it is not, the process ends at once
    """
    if sys.platform != "linux":
        return None
    # looked up here: between fork and exec another thread's hold on what that takes would never end
    prctl = ctypes.CDLL(None).prctl

    def ask_kernel() -> None:
        prctl(SET_PARENT_DEATH_SIGNAL, number)
        if os.getppid() != parent:
            os._exit(1)

    return ask_kernel
