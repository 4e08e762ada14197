#!/bin/bash
# Assesses a build and writes its papers: run.sh VOLTWRIGHT BUILD OUT
# Exit code 1 says that a stop finding stands, which is an answer and no failure.
set -euo pipefail
voltwright=$1 build=$2 out=$3

answer() {
    local code=0
    "$voltwright" "$@" || code=$?
    [[ $code -le 1 ]] || { echo "voltwright $1 failed (exit code $code)" >&2; exit "$code"; }
    [[ $code -eq 0 ]] || echo "voltwright $1: a stop finding stands (exit code 1)"
}

answer assess "$build"
answer papers "$build" --out "$out"
echo "Papers: $(ls -d "$out"/* | tr '\n' ' ')"
