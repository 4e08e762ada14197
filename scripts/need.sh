#!/bin/bash
# Sees to it that Debian packages are there: need.sh PACKAGE[:PROBE]...
# PROBE is a command that succeeds where the package is present; without one, a command named like the package.
# Root installs what is missing; anyone else is told the one line to run, and the exit code is 2.
set -euo pipefail

missing() {
    local need probe
    for need in "$@"; do
        probe="command -v ${need%%:*}"
        [[ $need == *:* ]] && probe="${need#*:}"
        sh -c "$probe" >/dev/null 2>&1 || echo "${need%%:*}"
    done
}

packages=$(missing "$@" | xargs)
[[ -n $packages ]] || exit 0

if [[ $(id -u) -ne 0 ]]; then
    echo "Missing: $packages. Please run:" >&2
    echo "  sudo apt-get install -y --no-install-recommends $packages" >&2
    exit 2
fi
if ! command -v apt-get >/dev/null; then
    echo "Missing: $packages. There is no apt-get here; please install them by this system's own means." >&2
    exit 2
fi

echo "Installing $packages (apt-get)"
log=$(mktemp) kept=$(mktemp)
trap 'rm -f "$log" "$kept"' EXIT
# python3-venv brings ca-certificates, which rewrites a bundle that was put there by hand: keep what that one trusted.
bundle=/etc/ssl/certs/ca-certificates.crt
if [[ -e $bundle ]] && ! dpkg -s ca-certificates >/dev/null 2>&1; then cp "$bundle" "$kept"; fi
export DEBIAN_FRONTEND=noninteractive
if ! { apt-get update && apt-get install -y --no-install-recommends $packages; } >"$log" 2>&1; then
    cat "$log" >&2
    exit 2
fi
[[ ! -s $kept ]] || cat "$kept" >>"$bundle"

packages=$(missing "$@" | xargs)
if [[ -n $packages ]]; then
    echo "Installed, yet still not working: $packages." >&2
    exit 2
fi
