#!/bin/sh
# Runs all the tests. Installs what is missing first.
set -eu
cd "$(dirname "$0")/.."
. .ci/install.sh
ruff check .
ruff format --check .
mypy & types=$!  # of one process, beside the tests
failed=0
python -m pytest -q -n auto --dist loadfile --no-loadscope-reorder "$@" || failed=$?
wait "$types"
exit "$failed"
