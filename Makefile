# What CI runs: make check. The program needs Go alone; the check of its page also Node
# and a Chromium, that of its paper poppler. .ci/run installs what is absent.
GO ?= go
PACKAGES := ./...

.PHONY: check build test vet cross page bench tables

check: vet test cross page

vet:
	@out=$$(gofmt -l $$(git ls-files '*.go')); if [ -n "$$out" ]; then echo "not formatted: $$out"; exit 1; fi
	$(GO) vet $(PACKAGES)

test:
	CGO_ENABLED=0 $(GO) test $(PACKAGES)

# Field computers are small and of many kinds: no C compiler, ever.
cross:
	@for t in linux/arm64 linux/arm windows/amd64 darwin/arm64; do \
	  echo "build $$t"; \
	  CGO_ENABLED=0 GOOS=$${t%/*} GOARCH=$${t#*/} $(GO) build -trimpath -o /dev/null ./cmd/farhail || exit 1; \
	done

# The page built again and compared with web/dist, then run in a browser.
page:
	web/ui/test.sh

build:
	CGO_ENABLED=0 $(GO) build -trimpath -ldflags="-s -w" -o bin/farhail ./cmd/farhail

# The figures of docs/speed.md.
bench:
	$(GO) test -run '^$$' -bench . $(PACKAGES)

# The embedded tables from their sources; regenerating must change nothing.
DATA ?= ../shared/data
tables:
	for g in geomag ionomaps indices deciles noise groundclass storms; do $(GO) run tables/$$g/gen.go $(DATA) || exit 1; done
