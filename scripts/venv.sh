#!/bin/sh
# Builds .venv from a lock, and again only when the lock changes: scripts/venv.sh requirements-dev.txt
set -eu
export PIP_DISABLE_PIP_VERSION_CHECK=1

lock=${1:?name a lock: requirements.txt or requirements-dev.txt}
stamp=.venv/.built-from
locks=$(cat requirements.txt requirements-build.txt requirements-dev.txt | cksum)
project=$(cksum <pyproject.toml)

newest_python() {
    for name in python3.13 python3.12 python3.11 python3; do
        if "$name" -c 'import sys; sys.exit(not (3, 11) <= sys.version_info[:2] <= (3, 13))' 2>/dev/null; then
            echo "$name"
            return
        fi
    done
    echo "Hardpan needs Python 3.11, 3.12 or 3.13 on the path; none works here. On Debian 12: apt-get install python3" >&2
    return 1
}

new_venv() {
    python=$(newest_python)
    echo "building .venv with $("$python" --version) from $lock"
    "$python" -m venv --clear .venv >/dev/null 2>&1 && return
    rm -rf .venv
    package=$("$python" -c 'import sys; print("python{}.{}-venv".format(*sys.version_info))')
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
        echo "this Python has no venv: apt-get install $package"
        apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends "$package" >/dev/null
        "$python" -m venv --clear .venv && return
    fi
    echo "$python cannot make a virtual environment. Install its venv package and try again; on Debian, as root: apt-get install $package" >&2
    return 1
}

built=$(cat "$stamp" 2>/dev/null || true)
case $built in
"$lock $locks"*) ;;
"requirements-dev.txt $locks"*) lock=requirements-dev.txt ;; # it holds everything of the shorter lock
*)
    new_venv
    if [ "$lock" = requirements.txt ]; then
        .venv/bin/python -m pip install -q --require-hashes -r requirements.txt -r requirements-build.txt
    else
        .venv/bin/python -m pip install -q --require-hashes -r "$lock"
    fi
    built=
    ;;
esac

if [ "$built" != "$lock $locks $project" ]; then
    .venv/bin/python -m pip install -q --no-deps --no-build-isolation -e .
    echo "$lock $locks $project" >"$stamp"
fi
