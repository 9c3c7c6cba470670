#!/usr/bin/env bash
# Runs every test there is, and says at the end how many passed.
#
# What the tests need and is missing is installed first: Chromium (Debian's, by apt-get), the
# browser driver (tests/e2e, pinned), the peers' Python (peers/setup.sh, pinned). Nothing else on
# the machine is changed. With LASTBOLT_TEST_ONLY="rust e2e peers" (any of them) only those run.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")"
export CI="${CI:-true}" INSTA_UPDATE="${INSTA_UPDATE:-no}"
export CARGO_TERM_COLOR="${CARGO_TERM_COLOR:-never}"

only=" ${LASTBOLT_TEST_ONLY:-rust e2e peers} "
logs=$(mktemp -d)
trap 'rm -rf "$logs"' EXIT
passed=0
failed=0
began=$SECONDS

say() { printf '\n== %s (%d s)\n' "$1" "$((SECONDS - began))"; }

# Runs a command with its output kept in a log; a command that fails counts as one failure where
# its own count says none.
run() {
  local log=$1
  shift
  printf '$ %s\n' "$*"
  if "$@" 2>&1 | tee "$logs/$log"; then
    return 0
  fi
  return 1
}

count() {
  passed=$((passed + $1))
  failed=$((failed + $2))
}

# One thing that is right or wrong as a whole.
one() {
  say "$1"
  if run one.log "${@:2}"; then count 1 0; else count 0 1; fi
}

# Adds up what a log says by a pattern with one number in it.
sum() { sed -nE "s/$2/\1/p" "$logs/$1" | awk '{ n += $1 } END { print n + 0 }'; }

as_root() {
  if [ "$(id -u)" = 0 ]; then "$@"; else sudo -n "$@"; fi
}

need_chromium() {
  CHROMIUM=${CHROMIUM:-$(command -v chromium || command -v chromium-browser || true)}
  if [ -z "$CHROMIUM" ] && command -v apt-get > /dev/null; then
    say "installing Chromium"
    as_root apt-get update -qq
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends \
      chromium fonts-dejavu-core > /dev/null
    CHROMIUM=$(command -v chromium)
  fi
  export CHROMIUM
  [ -n "$CHROMIUM" ]
}

need_driver() {
  local in=tests/e2e/node_modules all=yes
  for one in playwright-core axe-core jsqr pngjs; do
    [ -d "$in/$one" ] || all=no
  done
  [ $all = yes ] && return 0
  say "installing the browser driver"
  (cd tests/e2e && npm ci --no-audit --no-fund)
}

rust_tests() {
  one "format" cargo fmt --all --check
  one "lints" cargo clippy --workspace --all-targets --quiet -- -D warnings
  say "unit, property, snapshot, integration and kill tests"
  # Published instances stand beside the project, if at all; without them that test says so.
  local sop=../shared/bench-data/sop
  if [ -d "$sop" ]; then
    LASTBOLT_SOP_DATA=$(cd "$sop" && pwd)
    export LASTBOLT_SOP_DATA
  fi
  local broken=0 good bad
  run cargo.log cargo test --workspace --no-fail-fast || broken=1
  good=$(sum cargo.log '^test result: [a-zA-Z]+\. ([0-9]+) passed.*')
  bad=$(sum cargo.log '^test result: .* ([0-9]+) failed;.*')
  if [ "$broken" = 1 ] && [ "$bad" = 0 ]; then bad=1; fi
  count "$good" "$bad"
}

build() {
  one "release build" cargo build --release --quiet
}

e2e_tests() {
  if ! need_chromium || ! need_driver; then
    say "end to end: the browser could not be had"
    count 0 1
    return
  fi
  say "end to end in Chromium, at 390 x 844"
  local broken=0 good bad
  run e2e.log env LASTBOLT="$(program)" \
    node --test --test-reporter=tap tests/e2e/*.test.mjs || broken=1
  good=$(sum e2e.log '^# pass ([0-9]+)')
  bad=$(sum e2e.log '^# fail ([0-9]+)')
  if [ "$broken" = 1 ] && [ "$bad" = 0 ]; then bad=1; fi
  count "$good" "$bad"
}

# The release program, wherever cargo was told to build.
program() {
  local target
  target=$(cargo metadata --no-deps --offline --format-version 1 |
    sed -nE 's/.*"target_directory":"([^"]+)".*/\1/p')
  printf '%s/release/lastbolt' "$target"
}

peer_tests() {
  if [ ! -f peers/setup.sh ]; then
    say "peers: none here, skipped"
    return
  fi
  say "peers"
  if ! run setup.log sh peers/setup.sh; then
    count 0 1
    return
  fi
  one "the springs' example" cargo build --release --quiet -p lastbolt-tighten --example forces
  local script good bad broken springs
  springs="$(dirname "$(program)")/examples/forces"
  local tables="" pumps=../shared/bench-data/disassembly
  if [ -d "$pumps" ]; then tables="--bench-data $pumps"; fi
  for script in "selfcheck.py --cpsat $tables" "compare.py --lastbolt $(program) $tables" \
    "springs.py --forces $springs" \
    "schema_check.py --lastbolt $(program)"; do
    broken=0
    # shellcheck disable=SC2086 -- the words of one command
    run peers.log peers/.venv/bin/python peers/$script || broken=1
    good=$(sum peers.log '.*: ([0-9]+) passed, [0-9]+ failed.*')
    bad=$(sum peers.log '.*: [0-9]+ passed, ([0-9]+) failed.*')
    if [ "$broken" = 1 ] && [ "$bad" = 0 ]; then bad=1; fi
    count "$good" "$bad"
  done
}

case $only in *" rust "*) rust_tests ;; esac
case $only in *" e2e "* | *" peers "*) build ;; esac
case $only in *" e2e "*) e2e_tests ;; esac
case $only in *" peers "*) peer_tests ;; esac

say "done"
printf 'all: %d passed, %d failed\n' "$passed" "$failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
