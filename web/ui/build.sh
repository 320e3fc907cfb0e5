#!/bin/sh
# Builds the page from ui/ into ../dist, which is committed: go build needs no Node.
# Exact versions stand in package-lock.json.
set -eu
cd "$(dirname "$0")"
[ -d node_modules ] || npm ci --no-audit --no-fund --silent
npx svelte-check --tsconfig ./tsconfig.json --fail-on-warnings --output human
npx vite build --logLevel warn
cp node_modules/@fontsource-variable/source-serif-4/LICENSE ../dist/assets/source-serif-4-OFL.txt
