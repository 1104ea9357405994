# Keelcard. `make run` needs Go alone; `make test` installs what else it lacks.

SHELL := /usr/bin/env bash
.SHELLFLAGS := -euo pipefail -c
.DEFAULT_GOAL := run
MAKEFLAGS += --no-print-directory

# Packages that touch no browser: they are tested as the phone runs them, too.
PURE := ./engine/... ./web/app/... ./web/markup/... ./web/view/... ./web/figure/... ./web/words/...
WASM := GOOS=js GOARCH=wasm
# The whole environment is handed to the program, and there is room for little.
NODE_RUNNER = env -i PATH=$(PATH) HOME=$(HOME) GOGC=$(GOGC) $(shell go env GOROOT)/lib/wasm/go_js_wasm_exec

.PHONY: run gallery test check native cases node fuzz browser e2e bench size fmt clean tools release

run: ## build and serve on this machine
	go run ./web/serve

gallery: ## every view in every state, on one page
	go run ./web/serve -gallery

# What the build machine runs, in the order in which it is quickest to fail. What
# is lacking is installed while form is looked at.
test:
	@$(MAKE) -j2 tools check
	@$(MAKE) native node fuzz browser size e2e

check: ## form and vet, for both targets
	@echo "== form and vet"
	@unformed=$$(gofmt -l $$(git ls-files '*.go')); test -z "$$unformed" || { echo "gofmt: $$unformed"; exit 1; }
	go vet ./...
	$(WASM) go vet ./wasm/...
	go tool staticcheck ./...
	checker=$$(go tool -n staticcheck); $(WASM) "$$checker" ./wasm/...

# Most tests hold little at a time and throw it away: with the usual limit they
# spend half of their time on collecting it.
native node: export GOGC := 400

native: ## every test; with the race detector, which is slow, what starts goroutines
	@echo "== native tests"
	go test ./...
	go test -race ./web/serve

cases: ## run worked cases; CASES=/path runs your own
	go test ./engine/cases -count=1 -run TestCases -v -cases "$$(realpath "$(or $(CASES),testdata)")"

node: ## the pure packages as the phone runs them
	@echo "== the same as wasm"
	$(WASM) go test -short -exec "$(NODE_RUNNER)" $(PURE)

FUZZTIME := 2
FUZZAT := 2

fuzz: ## every decoder of what comes from outside, FUZZTIME seconds each, FUZZAT at once
	@echo "== fuzz, $(FUZZTIME) s a target"
	.ci/fuzz $(FUZZTIME) $(FUZZAT)

browser: ## what needs a browser's store, files and page
	@echo "== store, files and page in a browser"
	wasm/browsertest ./wasm/border ./wasm/store ./wasm/files ./wasm/dom

release: .build/serve
	.build/serve -release -out .build/release
	.build/serve -release -stamp second -out .build/second

.build/serve: FORCE
	go build -o $@ ./web/serve
.PHONY: FORCE
FORCE:

size: release ## what a first visit downloads; fails above the budget
	@echo "== size of a first download"
	.build/serve -dir .build/release -size

# Journeys that measure time or read a film want the machine to themselves.
ALONE := speed.test.js codes.test.js

e2e: release ## whole journeys in a browser; its summary comes last
	@echo "== journeys in a browser"
	cd web/e2e && node --test --test-concurrency=1 --test-timeout=600000 $(ALONE)
	cd web/e2e && node --test --test-concurrency=2 --test-timeout=600000 $$(ls *.test.js | grep -vxF $(ALONE:%=-e %))

bench: web/bench/node_modules/.package-lock.json ## every budget, and what was measured; fails past one
	go run ./web/bench

fmt:
	gofmt -w $$(git ls-files '*.go')

clean:
	rm -rf .build web/e2e/node_modules web/bench/node_modules

# A browser and the parts that drive it, where they are not there yet. An
# interrupted installation is finished first.
tools: web/e2e/node_modules/.package-lock.json
	@if [ ! -x /usr/bin/chromium ]; then \
	  echo "== installing chromium"; \
	  export DEBIAN_FRONTEND=noninteractive; \
	  apt-get update -q && apt-get install -y -q --no-install-recommends chromium \
	  || { dpkg --configure -a; apt-get -f -y -q install; apt-get install -y -q --no-install-recommends chromium; }; \
	fi

%/node_modules/.package-lock.json: %/package-lock.json
	cd $* && npm ci --no-audit --no-fund
	@touch $@
