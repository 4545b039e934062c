"""``python -m service``."""

from __future__ import annotations

from service.cli import main

if __name__ == "__main__":
    main(prog_name="deck-framing")
