#!/bin/sh
# Sets up and runs every test: sh deploy/test.sh [--everything] [pytest arguments]
#
# The suite runs on SQLite with the embedded worker; then what asks a database runs on PostgreSQL with
# Redis, on servers of its own that it starts and stops: not the cores, papers and single pages again.
# Without root and without a needed program, that part is left out with a sentence; with --everything nothing may be left out or skipped.
set -eu
# shellcheck source=deploy/lib.sh
. "$(dirname -- "$0")/lib.sh"
cd "$ROOT"

everything=no
if [ "${1:-}" = "--everything" ]; then everything=yes; shift; fi
# shellcheck disable=SC2086
if [ "$(id -u)" -eq 0 ] || [ "$everything" = yes ]; then debian $PAPER_PACKAGES $TEST_PACKAGES; else debian $PAPER_PACKAGES; fi
environment "[test]"

scratch=$(mktemp -d)
chmod 755 "$scratch"
as_postgres() { if [ "$(id -u)" -eq 0 ]; then runuser -u postgres -- "$@"; else "$@"; fi; }
clean_up() {
  [ ! -f "$scratch/pg/postmaster.pid" ] || as_postgres "$pg/pg_ctl" -D "$scratch/pg" -m immediate stop >/dev/null 2>&1 || true
  [ ! -f "$scratch/redis.pid" ] || kill "$(cat "$scratch/redis.pid")" 2>/dev/null || true
  rm -rf "$scratch"
}
trap clean_up EXIT
trap 'exit 130' INT TERM

export TRENAIL_DATA="$scratch/data" TRENAIL_HTTPS=no TRENAIL_TEST_EVERYTHING="$everything"
export PYTHONDONTWRITEBYTECODE=1
python="$VENV/bin/python"
workers=$(nproc) # each has a Redis database of its own, of which there are 16
[ "$workers" -ge 2 ] || workers=2
[ "$workers" -le 8 ] || workers=8

# Compiled once beside the checks, and not by each process of the tests.
NUMBA_CACHE_DIR="$TRENAIL_DATA/compiled" "$python" -c "from shop.core.plan import compiled; compiled.get_ready()" &
compiling=$!
say "== style, types and rooms"
"$VENV/bin/ruff" check .
"$VENV/bin/ruff" format --check --quiet . || fail "Some files are not formatted: run ruff format."
"$VENV/bin/lint-imports" --no-cache >"$scratch/imports" || { cat "$scratch/imports"; exit 1; }
"$VENV/bin/mypy" --cache-dir "$scratch/mypy" orders shop costing
"$python" -m shop makemigrations --check --dry-run >/dev/null || fail "A model changed without its migration."
TRENAIL_HTTPS=yes "$python" -m shop check --deploy --fail-level WARNING
! command -v shellcheck >/dev/null || shellcheck -x deploy/*.sh .ci/run

pg=$(find /usr/lib/postgresql -name initdb -printf '%h\n' 2>/dev/null | sort -V | tail -n 1)
has_servers() { [ -n "$pg" ] && command -v redis-server >/dev/null; }

wait "$compiling"

say "== the suite on SQLite with the embedded worker"
if has_servers && [ $# -eq 0 ]; then # the generated requests are for the stricter of the two
  "$python" -m pytest -n "$workers" --dist loadgroup --ignore=tests/test_api_schema.py "$@"
else
  "$python" -m pytest -n "$workers" --dist loadgroup "$@"
fi

if has_servers; then
  say "== the suite on PostgreSQL with Redis"
  free_port() { "$python" -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'; }
  pg_port=$(free_port); redis_port=$(free_port)
  mkdir "$scratch/pg"
  [ "$(id -u)" -ne 0 ] || chown postgres "$scratch/pg"
  as_postgres "$pg/initdb" -D "$scratch/pg" -U trenail --auth=trust -E UTF8 --locale=C.UTF-8 >/dev/null
  as_postgres "$pg/pg_ctl" -D "$scratch/pg" -w -l "$scratch/pg/log" \
    -o "-p $pg_port -k $scratch/pg -c listen_addresses=127.0.0.1 -c fsync=off" start >/dev/null
  redis-server --port "$redis_port" --bind 127.0.0.1 --save '' --appendonly no \
    --daemonize yes --pidfile "$scratch/redis.pid" --dir "$scratch" >/dev/null
  DATABASE_URL="postgres://trenail@127.0.0.1:$pg_port/postgres" REDIS_URL="redis://127.0.0.1:$redis_port/0" \
    "$python" -m pytest -n "$workers" --dist loadgroup --ignore-glob='*/core/*' --ignore=tests/costing/documents \
      --ignore=tests/costing/management/test_calculate.py --ignore=tests/costing/management/test_try_out.py \
      --ignore=tests/costing/management/test_telling.py --ignore=tests/test_routes.py \
      --ignore-glob='*/test_in_browser.py' "$@"
elif [ "$everything" = yes ]; then
  fail "PostgreSQL or Redis is missing."
else
  say "Left out: PostgreSQL and Redis are not installed."
fi
