# iolrevise: plain GNU make. `make` leaves the program at build/iolrevise.
CC      ?= gcc
BUILD   ?= build
VERSION := $(shell sed -n 's/.*IOLREVISE_VERSION "\(.*\)"/\1/p' include/iolrevise.h)

# Where `make install` puts things; each can be given, and DESTDIR goes before all.
PREFIX     ?= /usr/local
BINDIR     ?= $(PREFIX)/bin
LIBDIR     ?= $(PREFIX)/lib
INCLUDEDIR ?= $(PREFIX)/include
DATADIR    ?= $(PREFIX)/share
MANDIR     ?= $(DATADIR)/man
DOCDIR     ?= $(DATADIR)/doc/iolrevise
COMPDIR    ?= $(DATADIR)/bash-completion/completions

PKG     := $(shell pkg-config --cflags libcjson 2>/dev/null || echo -I/usr/include/cjson)
WARN    := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wstrict-prototypes -Wmissing-prototypes -Wpointer-arith \
           -Wcast-qual -Wwrite-strings -Wvla -Wundef -Wformat=2 $(EXTRA_WARN)
BASE    := -std=c11 -ffp-contract=off -D_POSIX_C_SOURCE=200809L -Iinclude -Iinclude/iolrevise -Idata -Isrc -Itests -Itests/unit $(PKG) $(WARN)
# What the library shows is what its public headers declare; the same objects make archive and shared library.
supported = $(shell $(CC) -Werror $(1) -x c -c /dev/null -o /dev/null 2>/dev/null && echo $(1))
HARDEN  := -fPIC -fvisibility=hidden -fstack-protector-strong $(foreach flag,-ffile-prefix-map=$(CURDIR)=. \
           -fno-semantic-interposition -fno-plt -fstack-clash-protection -fcf-protection,$(call supported,$(flag)))
OPT     ?= -O3 -g -U_FORTIFY_SOURCE -D_FORTIFY_SOURCE=2
# The program is optimised as one, where the compiler can and OPT is ours; archive and shared library hold ordinary objects.
WHOLE   := $(if $(filter file,$(origin OPT)),$(shell echo 'int main(void) { return 0; }' | \
           $(CC) -flto=auto -Werror -x c - -o /dev/null 2>/dev/null && echo -flto=auto))
ALL_CFLAGS = $(BASE) $(HARDEN) $(OPT) $(CFLAGS)
LINK     = $(CC) $(ALL_CFLAGS) -Wl,-z,relro,-z,now $(LDFLAGS) -o $@
LIB_LIBS := -lcjson -lm
LIBS    := $(LIB_LIBS) -lpthread

LIB_SRC := $(filter-out src/cli/%,$(wildcard src/*/*.c))
CLI_SRC := $(wildcard src/cli/*.c)
LIB_OBJ := $(LIB_SRC:%.c=$(BUILD)/%.o)
CLI_OBJ := $(CLI_SRC:%.c=$(BUILD)/%.o)
PROGRAM := $(if $(WHOLE),$(patsubst %.c,$(BUILD)/whole/%.o,$(CLI_SRC) $(LIB_SRC)),$(CLI_OBJ) $(LIB_OBJ))
TOOLS   := $(addprefix $(BUILD)/tests/,tools/generate_past_cases tools/hits heavy/bench runs/locale \
           heavy/values_dump heavy/values_plan heavy/blanking)
TESTS   := $(patsubst tests/%.c,$(BUILD)/tests/%,$(wildcard tests/unit/test_*.c))

FUZZERS := case site plan lines refraction formulas
.PHONY: all docs test lint format check-asan check-all bench install uninstall dist distcheck clean fuzz programs unit runs coverage mutants
SO      := libiolrevise.so
SONAME  := $(SO).$(firstword $(subst ., ,$(VERSION)))
all: $(BUILD)/iolrevise $(BUILD)/libiolrevise.a $(BUILD)/$(SO).$(VERSION)

$(BUILD)/libiolrevise.a: $(LIB_OBJ)
	rm -f $@ && ar rcsD $@ $^
$(BUILD)/iolrevise: $(PROGRAM)
	$(LINK) $(WHOLE) -pie $^ $(LIBS)
$(BUILD)/$(SO).$(VERSION): $(LIB_OBJ)
	$(LINK) -shared -Wl,-soname,$(SONAME) $^ $(LIB_LIBS)
$(BUILD)/%.o: %.c Makefile
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -MMD -MP -c -o $@ $<
$(BUILD)/whole/%.o: %.c Makefile
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) $(WHOLE) -MMD -MP -c -o $@ $<
$(BUILD)/tests/%: $(BUILD)/tests/%.o $(BUILD)/libiolrevise.a
	$(LINK) $^ -lcmocka $(if $(filter unit/test_gsl%,$*),-lgsl -lgslcblas,) $(LIBS)
$(filter-out %/bench,$(TOOLS)): $(BUILD)/tests/%: $(BUILD)/tests/%.o $(BUILD)/libiolrevise.a
	$(LINK) $(filter %.o,$^) $(BUILD)/libiolrevise.a $(LIBS)
$(BUILD)/tests/heavy/bench: $(BUILD)/tests/heavy/bench.o $(filter-out %/main.o,$(PROGRAM))
	$(LINK) $(WHOLE) $^ $(LIBS)
$(BUILD)/tests/unit/test_arena: $(BUILD)/src/cli/arena.o
DRAWN   := $(addprefix $(BUILD)/tests/tools/,random_case.o case_text.o case_twins.o blanking.o)
$(addprefix $(BUILD)/tests/,unit/test_random heavy/blanking): $(DRAWN)
$(BUILD)/tests/unit/test_blanking: $(BUILD)/tests/tools/blanking.o
$(BUILD)/tests/unit/test_cost: $(BUILD)/src/cli/seen.o
$(BUILD)/tests/unit/test_cost: LDFLAGS += -Wl,--wrap=iol_suggest_key,--wrap=iol_suggest_word
$(CLI_OBJ) $(filter $(BUILD)/whole/%,$(PROGRAM)): HARDEN += -fPIE
.SECONDARY:
-include $(shell find $(BUILD) -name '*.d' 2>/dev/null)

programs: all $(TESTS) $(TOOLS) $(FUZZERS:%=$(BUILD)/tests/replay_%)
test: unit runs
	@BUILD=$(BUILD) sh tests/runs/readme.sh
	@BUILD=$(BUILD) sh tests/runs/locale.sh
	@BUILD=$(BUILD) CC="$(CC)" FLAGS="$(OPT) $(CFLAGS) $(LDFLAGS)" WHOLE=$(WHOLE) sh tests/runs/install.sh
	@echo "all tests passed"

# Tests of the code itself, and runs of the program; `make coverage` counts the lines of both.
unit: programs
	@for t in $(TESTS); do $$t >$$t.log 2>&1 || { cat $$t.log; echo "FAILED $$t"; exit 1; }; echo "passed $$(basename $$t)"; done
	@for f in $(FUZZERS); do $(BUILD)/tests/replay_$$f tests/fuzz/corpus/$$f/* || exit 1; done
runs: programs
	@BUILD=$(BUILD) sh tests/runs/golden.sh
	@BUILD=$(BUILD) sh tests/runs/schema.sh
	@BUILD=$(BUILD) sh tests/runs/recheck.sh
	@BUILD=$(BUILD) sh tests/runs/check_lines.sh
	@BUILD=$(BUILD) sh tests/runs/output.sh
	@BUILD=$(BUILD) sh tests/runs/files.sh

# Files that are the program's own output: rewritten here, compared by the tests.
docs: all $(TOOLS)
	BUILD=$(BUILD) sh tests/tools/generate.sh

$(BUILD)/tests/replay_%: $(BUILD)/tests/fuzz/replay.o $(BUILD)/tests/fuzz/fuzz_%.o $(BUILD)/libiolrevise.a
	$(LINK) $^ $(LIBS)

fuzz:
	@BUILD=$(BUILD) sh tests/fuzz/run.sh

lint: all
	@sh tests/runs/lint.sh
	@sh tests/runs/lint_offends.sh

format:
	clang-format -i $(wildcard src/*/*.[ch] include/*.h include/*/*.h tests/*/*.[ch])

check-asan:
	@BUILD=$(BUILD) sh tests/heavy/asan.sh

# The heavier checks: sanitizers, valgrind, browser, failing calls, same digits, packaging, recipes, analysis, fresh machine.
check-all: all
	@BUILD=$(BUILD) sh tests/heavy/check_all.sh $(CHECKS)

coverage:
	@RECORD=1 BUILD=$(BUILD) sh tests/heavy/coverage.sh

# Does a test notice a small error? MUTANTS=600 SEED=1: so many, drawn.
mutants:
	@mkdir -p $(BUILD)
	@RECORD=1 BUILD=$(BUILD) nice -n 19 python3 -B tests/heavy/mutants.py

bench: all $(TOOLS)
	@sh tests/heavy/bench.sh

# Public headers and the tables that they expand.
HEADERS := $(wildcard include/iolrevise/*.h) \
           $(addprefix data/,$(addsuffix .def,case_fields site_fields plan_fields words faults formulas))
below    = $(patsubst $(PREFIX)/%,$${prefix}/%,$(1))
PC_SED  := s|@PREFIX@|$(PREFIX)|; s|@LIBDIR@|$(call below,$(LIBDIR))|; s|@INCLUDEDIR@|$(call below,$(INCLUDEDIR))|; s|@VERSION@|$(VERSION)|
install: all
	install -d $(addprefix $(DESTDIR),$(BINDIR) $(LIBDIR)/pkgconfig $(INCLUDEDIR)/iolrevise $(MANDIR)/man1 $(DOCDIR) $(COMPDIR) $(DATADIR)/iolrevise)
	install -m 755 $(BUILD)/iolrevise $(DESTDIR)$(BINDIR)/
	install -m 644 $(BUILD)/libiolrevise.a $(DESTDIR)$(LIBDIR)/
	install -m 755 $(BUILD)/$(SO).$(VERSION) $(DESTDIR)$(LIBDIR)/
	ln -sf $(SO).$(VERSION) $(DESTDIR)$(LIBDIR)/$(SONAME)
	ln -sf $(SONAME) $(DESTDIR)$(LIBDIR)/$(SO)
	sed '$(PC_SED)' src/iolrevise.pc.in >$(DESTDIR)$(LIBDIR)/pkgconfig/iolrevise.pc
	install -m 644 include/iolrevise.h $(DESTDIR)$(INCLUDEDIR)/
	install -m 644 $(HEADERS) $(DESTDIR)$(INCLUDEDIR)/iolrevise/
	for s in case site plan recheck summary; do $(BUILD)/iolrevise schema $$s >$(DESTDIR)$(DATADIR)/iolrevise/$$s.schema.json || exit 1; done
	install -m 644 docs/iolrevise.1 $(DESTDIR)$(MANDIR)/man1/
	install -m 644 docs/completion.bash $(DESTDIR)$(COMPDIR)/iolrevise
	install -m 644 README.md LICENSE $(wildcard docs/*.md) $(DESTDIR)$(DOCDIR)/

uninstall:
	rm -f $(DESTDIR)$(BINDIR)/iolrevise $(DESTDIR)$(LIBDIR)/libiolrevise.* $(DESTDIR)$(LIBDIR)/pkgconfig/iolrevise.pc \
	    $(DESTDIR)$(INCLUDEDIR)/iolrevise.h $(DESTDIR)$(MANDIR)/man1/iolrevise.1 $(DESTDIR)$(COMPDIR)/iolrevise
	rm -rf $(DESTDIR)$(INCLUDEDIR)/iolrevise $(DESTDIR)$(DOCDIR) $(DESTDIR)$(DATADIR)/iolrevise

# What is committed, as one archive: the same bytes from the same commit.
dist:
	@mkdir -p $(BUILD)
	git archive --format=tar --prefix=iolrevise-$(VERSION)/ HEAD | gzip -9n >$(BUILD)/iolrevise-$(VERSION).tar.gz
distcheck:
	@BUILD=$(BUILD) sh tests/heavy/dist.sh

clean:
	rm -rf $(BUILD)
