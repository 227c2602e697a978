# iolrevise: plain GNU make. `make` leaves the program at build/iolrevise.
CC      ?= gcc
PREFIX  ?= /usr/local
BUILD   ?= build
PKG     := $(shell pkg-config --cflags libcjson 2>/dev/null || echo -I/usr/include/cjson)
WARN    := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wstrict-prototypes -Wmissing-prototypes -Wpointer-arith \
           -Wcast-qual -Wwrite-strings -Wvla -Wundef -Wformat=2 $(EXTRA_WARN)
BASE    := -std=c11 -ffp-contract=off -D_POSIX_C_SOURCE=200809L -Iinclude -Iinclude/iolrevise -Idata -Isrc $(PKG) $(WARN)
OPT     ?= -O3 -g
ALL_CFLAGS = $(BASE) $(OPT) $(CFLAGS)
LIBS    := -lcjson -lm -lpthread

LIB_SRC := $(filter-out src/cli/%,$(wildcard src/*/*.c))
CLI_SRC := $(wildcard src/cli/*.c)
LIB_OBJ := $(LIB_SRC:%.c=$(BUILD)/%.o)
CLI_OBJ := $(CLI_SRC:%.c=$(BUILD)/%.o)
TOOLS   := $(BUILD)/tests/generate_past_cases $(BUILD)/tests/hits $(BUILD)/tests/bench $(BUILD)/tests/locale
TESTS   := $(patsubst tests/%.c,$(BUILD)/tests/%,$(wildcard tests/test_*.c))

FUZZERS := case site plan lines refraction formulas
.PHONY: all docs test lint format check-asan check-all bench install clean fuzz schemas
all: $(BUILD)/iolrevise

$(BUILD)/libiolrevise.a: $(LIB_OBJ)
	rm -f $@ && ar rcs $@ $^
$(BUILD)/iolrevise: $(CLI_OBJ) $(BUILD)/libiolrevise.a
	$(CC) $(ALL_CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)
$(BUILD)/%.o: %.c Makefile
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -MMD -MP -c -o $@ $<
$(BUILD)/tests/%: $(BUILD)/tests/%.o $(BUILD)/libiolrevise.a
	$(CC) $(ALL_CFLAGS) $(LDFLAGS) -o $@ $^ -lcmocka $(if $(filter test_gsl%,$*),-lgsl -lgslcblas,) $(LIBS)
$(TOOLS): $(BUILD)/tests/%: $(BUILD)/tests/%.o $(BUILD)/libiolrevise.a
	$(CC) $(ALL_CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)
.SECONDARY:
-include $(shell find $(BUILD) -name '*.d' 2>/dev/null)

test: all $(TESTS) $(TOOLS) $(FUZZERS:%=$(BUILD)/tests/replay_%)
	@for t in $(TESTS); do $$t >$$t.log 2>&1 || { cat $$t.log; echo "FAILED $$t"; exit 1; }; echo "passed $$(basename $$t)"; done
	@for f in $(FUZZERS); do $(BUILD)/tests/replay_$$f tests/fuzz/corpus/$$f/* || exit 1; done
	@BUILD=$(BUILD) sh tests/golden.sh
	@BUILD=$(BUILD) sh tests/schema.sh
	@BUILD=$(BUILD) sh tests/readme.sh
	@BUILD=$(BUILD) sh tests/recheck.sh
	@BUILD=$(BUILD) sh tests/check_lines.sh
	@BUILD=$(BUILD) sh tests/output.sh
	@BUILD=$(BUILD) sh tests/locale.sh
	@echo "all tests passed"

# Files that are the program's own output: rewritten here, compared by the tests.
docs schemas: all $(TOOLS)
	BUILD=$(BUILD) sh tests/generate.sh

$(BUILD)/tests/replay_%: $(BUILD)/tests/fuzz/replay.o $(BUILD)/tests/fuzz/fuzz_%.o $(BUILD)/libiolrevise.a
	$(CC) $(ALL_CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

fuzz:
	@BUILD=$(BUILD) sh tests/fuzz/run.sh

lint: all
	@sh tests/lint.sh
	@sh tests/lint_offends.sh

format:
	clang-format -i $(wildcard src/*/*.[ch] include/*.h include/*/*.h tests/*.[ch])

check-asan:
	@BUILD=$(BUILD) sh tests/asan.sh

# The heavier checks: sanitizers, valgrind, browser, failing calls, same digits, packaging, recipes, analysis, fresh machine.
check-all: all
	@BUILD=$(BUILD) sh tests/check_all.sh $(CHECKS)

bench: all $(TOOLS)
	@sh tests/bench.sh

install: all
	install -d $(DESTDIR)$(PREFIX)/bin $(DESTDIR)$(PREFIX)/lib $(DESTDIR)$(PREFIX)/include/iolrevise
	install -m 755 $(BUILD)/iolrevise $(DESTDIR)$(PREFIX)/bin/
	install -m 644 $(BUILD)/libiolrevise.a $(DESTDIR)$(PREFIX)/lib/
	install -m 644 include/iolrevise.h $(DESTDIR)$(PREFIX)/include/
	install -d $(DESTDIR)$(PREFIX)/share/man/man1
	install -m 644 docs/iolrevise.1 $(DESTDIR)$(PREFIX)/share/man/man1/
	install -m 644 include/iolrevise/*.h data/*.def $(DESTDIR)$(PREFIX)/include/iolrevise/

clean:
	rm -rf $(BUILD)
