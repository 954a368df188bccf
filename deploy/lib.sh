# Sourced by the other scripts: the virtual environment and Debian's libraries.
# shellcheck shell=sh

ROOT=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
VENV="$ROOT/.venv"
export PAPER_PACKAGES="libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 fontconfig"
export TEST_PACKAGES="chromium poppler-utils qpdf postgresql redis-server shellcheck"

say() { printf '%s\n' "$*"; }
fail() { printf '%s\n' "$*" >&2; exit 1; }

# Installs the Debian packages that are missing, or names them to somebody who may.
debian() {
  missing=""
  for package in "$@"; do
    dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q 'ok installed' || missing="$missing $package"
  done
  [ -n "$missing" ] || return 0
  if [ "$(id -u)" -ne 0 ]; then
    fail "These Debian packages are missing; ask for them:$missing"
  fi
  say "Installing$missing"
  export DEBIAN_FRONTEND=noninteractive
  # shellcheck disable=SC2086
  { apt-get update -qq && apt-get install -y -qq --no-install-recommends $missing; } >/dev/null ||
    fail "apt-get could not install$missing"
}

# Makes .venv and installs the project into it, once for each state of its requirements.
environment() {
  extra=$1
  python=$(command -v python3.11 || command -v python3) || fail "Python 3.11 is missing."
  "$python" -c 'import sys; sys.exit(sys.version_info[:2] != (3, 11))' ||
    fail "Python 3.11 is needed; this is $("$python" --version)."
  if [ ! -x "$VENV/bin/python" ]; then
    "$python" -c 'import ensurepip' 2>/dev/null || debian python3.11-venv
    "$python" -m venv "$VENV" || fail "The virtual environment could not be made in .venv."
  fi
  stamp="$VENV/installed$extra"
  state=$(cat "$ROOT/pyproject.toml" "$ROOT/deploy/constraints.txt" | sha256sum)
  if [ ! -f "$stamp" ] || [ "$(cat "$stamp")" != "$state" ]; then
    say "Installing Trenail and its libraries into .venv"
    "$VENV/bin/python" -m pip install --quiet --disable-pip-version-check \
      -c "$ROOT/deploy/constraints.txt" -e "$ROOT$extra" || fail "pip could not install the project."
    printf '%s\n' "$state" >"$stamp"
  fi
}
