"""Ask the service in this container whether it can answer; ends with 0 if so, else with 1.

It asks under the first of the host names the service is told to be served under, since it takes no other.
"""

from __future__ import annotations

import http.client
import os
import sys

PATIENCE_S = 2


def main() -> int:
    """Return the exit code."""
    host = os.environ.get("DECK_FRAMING_HOSTS", "").split(",")[0].strip() or "localhost"  # noqa: TID251
    port = int(os.environ.get("DECK_FRAMING_PORT", "") or 8000)  # noqa: TID251
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    try:
        connection.request("GET", "/health/ready", headers={"Host": host})
        return 0 if connection.getresponse().status == 200 else 1
    except OSError:
        return 1
    finally:
        connection.close()


if __name__ == "__main__":
    sys.exit(main())
