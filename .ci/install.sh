# The one install step; sourced by jobs/demo.sh and tests/run.sh from the top of the repository.
# Debian packages (Pango, which sets the type; a browser, a reader and a checker of PDF for the
# tests), a virtual environment in .venv, and the package with its tests in the pinned versions.
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    missing=""
    for package in libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 python3-venv \
        chromium poppler-utils qpdf openssl zbar-tools; do
        dpkg -s "$package" >/dev/null 2>&1 || missing="$missing $package"
    done
    if [ -n "$missing" ]; then
        echo "installing from Debian:$missing"
        apt-get update -qq >/dev/null
        # shellcheck disable=SC2086  # a list of names
        DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >/dev/null
    fi
fi
stamp=.venv/.installed
if [ ! -f "$stamp" ] || [ pyproject.toml -nt "$stamp" ] || [ .ci/requirements.txt -nt "$stamp" ]; then
    echo "installing into .venv"
    [ -x .venv/bin/python ] || python3 -m venv .venv
    # Nothing comes in whose bytes are not those that were pinned, tools of the build included.
    .venv/bin/pip install -q --disable-pip-version-check --require-hashes -r .ci/requirements.txt
    .venv/bin/pip install -q --disable-pip-version-check --no-deps --no-build-isolation -e .
    # The checker of HTML is Java and comes by npm; where either is missing its test is skipped.
    if command -v npm >/dev/null 2>&1 && command -v java >/dev/null 2>&1; then
        npm install --silent --no-fund --no-audit --prefix .venv/node vnu-jar@26.9.27
    fi
    touch "$stamp"
fi
PATH="$PWD/.venv/bin:$PATH"
export PATH
