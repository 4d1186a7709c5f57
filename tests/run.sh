#!/bin/sh
# Runs all the tests. Installs what is missing first.
set -eu
cd "$(dirname "$0")/.."
. .ci/install.sh
ruff check .
ruff format --check .
mypy
exec python -m pytest -q -n auto --dist loadfile "$@"
