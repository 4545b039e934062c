#!/bin/sh
# Holds docker/requirements.lock against the published advisories. Needs pip-audit (the extra `docker`) and the internet.
# Ends with 0: audited, nothing known; 1: something known, which is listed; 3: NOT AUDITED, they cannot be reached.
set -u
lock="$(dirname "$0")/requirements.lock"
said="$(pip-audit --vulnerability-service osv --disable-pip --require-hashes --strict --progress-spinner off \
  --timeout 20 --requirement "$lock" 2>&1)"
code=$?
case "$said" in
  *"No known vulnerabilities found"*) echo "audited: nothing known against any locked library" ;;
  *ConnectionError* | *"Max retries exceeded"* | *"ServiceError"* | *"timed out"*)
    echo "NOT AUDITED: the advisories cannot be reached from here; run this where they can: sh docker/audit.sh"
    exit 3
    ;;
  *)
    printf '%s\n' "$said"
    [ "$code" -eq 0 ] && code=1
    exit "$code"
    ;;
esac
