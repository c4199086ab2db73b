#!/bin/sh
# What the tests need beside Python: a browser, a PostgreSQL server, Node.js with its one package. Installed where it is missing and may be.
set -eu

wanted=
[ -x /usr/bin/chromium ] || wanted="$wanted chromium"
ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || wanted="$wanted postgresql"
command -v node >/dev/null && command -v npm >/dev/null || wanted="$wanted nodejs npm"
if [ -n "$wanted" ]; then
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
        echo "installing$wanted"
        apt-get update -qq
        # shellcheck disable=SC2086  # a list of packages
        DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends $wanted >/dev/null
    else
        echo "missing:$wanted. Tests that need them are skipped; on Debian, as root: apt-get install$wanted" >&2
    fi
fi

if [ -f package-lock.json ] && command -v npm >/dev/null; then
    if [ "$(cat node_modules/.built-from 2>/dev/null || true)" != "$(cksum <package-lock.json)" ]; then
        npm ci --silent --no-audit --no-fund
        cksum <package-lock.json >node_modules/.built-from
    fi
fi
