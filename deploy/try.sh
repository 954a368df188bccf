#!/bin/sh
# Tries Trenail on this machine: sh deploy/try.sh [--check] [--port N]
#
# Makes .venv, an SQLite database and the demo workshop in ./var, plans its schedule, starts web and
# worker, and prints the address and one sign-in a role. Run again, it keeps the data. With --check it
# does all that in a folder of its own, fetches the papers and the wall chart, and stops.
set -eu
# shellcheck source=deploy/lib.sh
. "$(dirname -- "$0")/lib.sh"
cd "$ROOT"

check=no
port=8000
while [ $# -gt 0 ]; do
  case $1 in
    --check) check=yes ;;
    --port) shift; port=${1:?--port needs a number} ;;
    *) fail "Unknown: $1. Use --check, or --port N." ;;
  esac
  shift
done
# shellcheck disable=SC2086
debian $PAPER_PACKAGES
environment ""

export TRENAIL_HTTPS=no
# A trial may run as root; Celery's warning against that is for real use.
export PYTHONWARNINGS=ignore:::celery.platforms
if [ "$check" = yes ]; then
  TRENAIL_DATA=$(mktemp -d)
  export TRENAIL_DATA
  trap 'rm -rf "$TRENAIL_DATA"' EXIT
fi
python="$VENV/bin/python"
"$python" -m shop migrate --verbosity 0
"$python" -m shop demo
if [ "$check" = yes ]; then
  "$python" -m shop try_out --port "$port"
else
  exec "$python" -m shop serve --port "$port"
fi
