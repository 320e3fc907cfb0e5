#!/bin/sh
# Builds the page and compares it with what is committed, then runs it in a headless
# Chromium: both demo worlds and an empty home. FARHAIL names a program already built.
set -eu
cd "$(dirname "$0")"
chromium=${CHROMIUM:-$(command -v chromium || command -v chromium-browser || true)}
if [ -z "$chromium" ]; then
  if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
    apt-get update -qq && apt-get install -y -qq chromium >/dev/null
    chromium=$(command -v chromium)
  else
    echo "web/ui/test.sh: no Chromium: install it (apt-get install chromium), or name one in CHROMIUM" >&2
    exit 1
  fi
fi
command -v node >/dev/null || { echo "web/ui/test.sh: no Node.js: install version 20 or newer" >&2; exit 1; }
was=$(cd ../dist && find . -type f -exec sha256sum {} + | sort)
./build.sh
now=$(cd ../dist && find . -type f -exec sha256sum {} + | sort)
if [ "$was" != "$now" ]; then
  echo "web/ui/test.sh: web/dist is not what web/ui builds: run web/ui/build.sh and commit it" >&2
  exit 1
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
if [ -z "${FARHAIL:-}" ]; then
  FARHAIL=$work/farhail
  (cd ../.. && CGO_ENABLED=0 go build -trimpath -o "$FARHAIL" ./cmd/farhail)
fi
CHROMIUM=$chromium FARHAIL=$FARHAIL WORK=$work node test/run.mjs "$@"
