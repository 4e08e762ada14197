#!/bin/bash
# Proves the project on a bare Debian 12: chroot.sh FOLDER [TARGET...]   (as root; targets: run test)
# FOLDER/bare gets a minimal Debian with python3, git and make; every proof starts from a copy of it, FOLDER/root.
# Packages come from wherever this machine's own apt and pip take them. See docs/how-to/prove-on-bare-debian.md.
set -euo pipefail
[[ $# -ge 1 ]] || { sed -n '2,4s/^# //p' "$0"; exit 2; }
[[ $(id -u) -eq 0 ]] || { echo "chroot.sh must be run as root." >&2; exit 2; }
"$(dirname "$0")/need.sh" debootstrap git

repo=$(git -C "$(dirname "$0")" rev-parse --show-toplevel)
mkdir -p "$1"
folder=$(realpath "$1")
bare=$folder/bare root=$folder/root
shift
[[ $# -gt 0 ]] || set -- run test
home=/srv/voltwright
step() { echo "== $(date +%H:%M:%S) $*"; }

unmount() { for place in dev/shm dev/pts dev proc; do umount --lazy "$root/$place" 2>/dev/null || true; done; }
trap unmount EXIT
unmount

if [[ ! -e $bare.ready ]]; then
    step "debootstrap"
    mirror=$(apt-get indextargets --format '$(REPO_URI)' 'Codename: bookworm' 'Component: main' | head -n 1)
    [[ -n $mirror ]] || { echo "This machine's apt knows no Debian 12; run apt-get update first." >&2; exit 2; }
    rm -rf --one-file-system "$bare"
    debootstrap --variant=minbase --include=python3,git,make bookworm "$bare" "$mirror" >"$bare.log" 2>&1 \
        || { tail -n 20 "$bare.log" >&2; exit 1; }
    touch "$bare.ready"
fi

step "copy of the bare system, with this machine's settings of apt, pip and the network"
rm -rf --one-file-system "$root"
cp -a "$bare" "$root"
rm -f "$root/etc/apt/sources.list"
for file in /etc/apt /etc/pip.conf /etc/resolv.conf /etc/hosts /etc/ssl/certs/ca-certificates.crt "${PIP_CERT:-}"; do
    [[ ! -e $file ]] || { mkdir -p "$root${file%/*}" && cp -rL "$file" "$root${file%/*}/"; }
done
pass=(LANG=C.UTF-8 "PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin")
index=$(python3 -m pip config get global.index-url 2>/dev/null || true)
[[ -z $index ]] || pass+=("PIP_INDEX_URL=$index")
for name in $(compgen -e); do
    case $name in
        PIP_FIND_LINKS) ;;  # a folder of this machine
        PIP_* | SSL_CERT_FILE | http_proxy | https_proxy | no_proxy) pass+=("$name=${!name}") ;;
    esac
done

step "clone"
git clone --quiet --no-hardlinks "$repo" "$root$home"

# Chromium needs these.
mount -t proc proc "$root/proc"
for place in dev dev/pts dev/shm; do mount --bind "/$place" "$root/$place"; done
for target in "$@"; do
    step "make $target"
    env -i HOME=/root "${pass[@]}" chroot "$root" make --no-print-directory -C "$home" "$target"
done
step "done"
