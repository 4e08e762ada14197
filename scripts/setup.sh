#!/bin/bash
# Makes .venv from a lock: setup.sh PYTHON run|test
# The stamps are removed first and written last: without a stamp the .venv is taken for half made and made afresh.
set -euo pipefail
python=$1 kind=$2
bin=.venv/bin
log=.venv/install.log

"$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || {
    echo "Python 3.11 or newer is needed; $python is $("$python" --version 2>&1)." >&2
    exit 2
}

if ! compgen -G '.venv/.ready-*' >/dev/null; then
    scripts/need.sh "python3-venv:$python -m ensurepip --version"
    echo "Making .venv"
    "$python" -m venv --clear .venv
fi
rm -f .venv/.ready-* "$log"

install() {
    "$bin/python" -m pip install --progress-bar off --disable-pip-version-check --no-input "$@" >>"$log" 2>&1 || {
        tail -n 20 "$log" >&2
        echo "The installation failed; $log holds the whole of it." >&2
        exit 2
    }
}
echo "Installing requirements/$kind.txt"
install --require-hashes -r "requirements/$kind.txt"
echo "Installing Voltwright"
install --no-deps --no-build-isolation -e .
"$bin/python" -m compileall -q src

# The test lock holds all of the run lock.
[[ $kind == run ]] || touch .venv/.ready-run
touch ".venv/.ready-$kind"
