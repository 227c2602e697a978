# iolrevise: plain GNU make. `make` leaves the program at build/iolrevise; `make V=1` shows whole commands.
# As many jobs at once as there are processors; -jN on the command line goes before. What a job prints stays together.
ifeq ($(MAKELEVEL),0)
MAKEFLAGS += -j$(shell nproc 2>/dev/null || echo 2) --output-sync=target
endif
# Goals that change what others read come in the order given.
ifneq ($(and $(word 2,$(MAKECMDGOALS)),$(filter clean docs format install uninstall,$(MAKECMDGOALS))),)
.NOTPARALLEL:
endif
CC      ?= gcc
BUILD   ?= build
VERSION := $(shell sed -n 's/.*IOLREVISE_VERSION "\(.*\)"/\1/p' include/iolrevise.h)

# Where `make install` puts things; each can be given, in large or small letters, and DESTDIR goes before all.
PREFIX     ?= $(or $(prefix),/usr/local)
BINDIR     ?= $(or $(bindir),$(PREFIX)/bin)
LIBDIR     ?= $(or $(libdir),$(PREFIX)/lib)
INCLUDEDIR ?= $(or $(includedir),$(PREFIX)/include)
DATADIR    ?= $(or $(datadir),$(PREFIX)/share)
MANDIR     ?= $(or $(mandir),$(DATADIR)/man)
DOCDIR     ?= $(or $(docdir),$(DATADIR)/doc/iolrevise)
COMPDIR    ?= $(DATADIR)/bash-completion/completions
ZSHDIR     ?= $(DATADIR)/zsh/site-functions
FISHDIR    ?= $(DATADIR)/fish/vendor_completions.d

PKG     := $(shell pkg-config --cflags libcjson 2>/dev/null || echo -I/usr/include/cjson)
WARN    := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wstrict-prototypes -Wmissing-prototypes -Wpointer-arith \
           -Wcast-qual -Wwrite-strings -Wvla -Wundef -Wformat=2 $(EXTRA_WARN)
BASE    := -std=c11 -ffp-contract=off -fno-math-errno -fno-trapping-math -D_POSIX_C_SOURCE=200809L -DIOLREVISE_BUILDING -Iinclude -Iinclude/iolrevise -Idata -Isrc -Itests -Itests/unit $(PKG) $(WARN)
# What the library shows is what its public headers declare; the same objects make archive and shared library.
supported = $(shell $(CC) -Werror $(1) -x c -c /dev/null -o /dev/null 2>/dev/null && echo $(1))
HARDEN  := -fPIC -fvisibility=hidden -fstack-protector-strong $(foreach flag,-ffile-prefix-map=$(CURDIR)=. \
           -fno-semantic-interposition -fno-plt -fstack-clash-protection -fcf-protection,$(call supported,$(flag)))
OPT     ?= -O3 -g -U_FORTIFY_SOURCE -D_FORTIFY_SOURCE=2
# The program is optimised as one, where the compiler can and OPT is ours; archive and shared library hold ordinary objects.
WHOLE   := $(if $(filter file,$(origin OPT)),$(shell echo 'int main(void) { return 0; }' | \
           $(CC) -flto=auto -Werror -x c - -o /dev/null 2>/dev/null && echo -flto=auto))
QUIET   := $(if $(V),,@)
SILENT  := $(findstring s,$(firstword -$(MAKEFLAGS)))
told     = $(QUIET)$(if $(V)$(SILENT),,echo '$(1)' &&)
ALL_CFLAGS = $(BASE) $(HARDEN) $(OPT) $(CFLAGS)
LINK     = $(call told,link $@) $(CC) $(ALL_CFLAGS) -Wl,-z,relro,-z,now $(LDFLAGS) -o $@
LIB_LIBS := -lcjson -lm
LIBS    := $(LIB_LIBS) -lpthread

LIB_SRC := $(filter-out src/cli/%,$(wildcard src/*/*.c))
CLI_SRC := $(wildcard src/cli/*.c)
LIB_OBJ := $(LIB_SRC:%.c=$(BUILD)/%.o)
CLI_OBJ := $(CLI_SRC:%.c=$(BUILD)/%.o)
PROGRAM := $(if $(WHOLE),$(patsubst %.c,$(BUILD)/whole/%.o,$(CLI_SRC) $(LIB_SRC)),$(CLI_OBJ) $(LIB_OBJ))
TOOLS   := $(addprefix $(BUILD)/tests/,tools/generate_past_cases tools/hits tools/sensitivity tools/sizes tools/drawn_cases tools/hard_cases heavy/bench runs/locale \
           heavy/values_dump heavy/values_plan heavy/blanking heavy/mixture heavy/answers heavy/displaced)
TESTS   := $(patsubst tests/%.c,$(BUILD)/tests/%,$(wildcard tests/unit/test_*.c))

FUZZERS := case site plan lines refraction formulas box columns import against merge set power
.PHONY: all docs test lint format check-asan check-all bench install uninstall dist distcheck clean fuzz programs unit runs coverage mutants
SO      := libiolrevise.so
# Until 1.0 a minor version may change structs, so it stands in the name.
SONAME  := $(SO).$(if $(filter 0.%,$(VERSION)),$(basename $(VERSION)),$(firstword $(subst ., ,$(VERSION))))
all: $(BUILD)/iolrevise $(BUILD)/libiolrevise.a $(BUILD)/$(SO).$(VERSION)

$(BUILD)/libiolrevise.a: $(LIB_OBJ)
	$(call told,ar $@) rm -f $@ && ar rcsD $@ $^
$(BUILD)/iolrevise: $(PROGRAM)
	$(LINK) $(WHOLE) -pie $^ $(LIBS)
$(BUILD)/$(SO).$(VERSION): $(LIB_OBJ)
	$(LINK) -shared -Wl,-soname,$(SONAME) $^ $(LIB_LIBS)
$(BUILD)/%.o: %.c Makefile
	@mkdir -p $(@D)
	$(call told,cc $@) $(CC) $(ALL_CFLAGS) -MMD -MP -c -o $@ $<
$(BUILD)/whole/%.o: %.c Makefile
	@mkdir -p $(@D)
	$(call told,cc $@) $(CC) $(ALL_CFLAGS) $(WHOLE) -MMD -MP -c -o $@ $<
$(BUILD)/tests/%: $(BUILD)/tests/%.o $(BUILD)/libiolrevise.a
	$(LINK) $(filter %.o,$^) $(filter %.a,$^) -lcmocka $(if $(filter unit/test_gsl%,$*),-lgsl -lgslcblas,) $(LIBS)
$(filter-out %/bench,$(TOOLS)): $(BUILD)/tests/%: $(BUILD)/tests/%.o $(BUILD)/libiolrevise.a
	$(LINK) $(filter %.o,$^) $(BUILD)/libiolrevise.a $(LIBS)
$(BUILD)/tests/heavy/bench: $(BUILD)/tests/heavy/bench.o $(filter-out %/main.o,$(PROGRAM))
	$(LINK) $(WHOLE) $^ $(LIBS)
$(BUILD)/tests/unit/test_arena: $(BUILD)/src/cli/arena.o
$(BUILD)/tests/unit/test_power: $(BUILD)/src/cli/power_text.o $(BUILD)/src/cli/power_screen.o
DRAWN   := $(addprefix $(BUILD)/tests/tools/,random_case.o case_text.o case_twins.o blanking.o)
$(addprefix $(BUILD)/tests/,unit/test_random unit/test_printed unit/test_drawings unit/test_facts unit/test_talk unit/test_then unit/test_ordered unit/test_patient unit/test_agree heavy/blanking tools/drawn_cases): $(DRAWN)
$(BUILD)/tests/unit/test_blanking: $(BUILD)/tests/tools/blanking.o
$(BUILD)/tests/unit/test_seen: $(BUILD)/src/cli/seen.o
$(BUILD)/tests/unit/test_cost: LDFLAGS += -Wl,--wrap=iol_suggest_key,--wrap=iol_suggest_word
$(CLI_OBJ) $(filter $(BUILD)/whole/%,$(PROGRAM)): HARDEN += -fPIE
.SECONDARY:
-include $(shell find $(BUILD) -name '*.d' 2>/dev/null)

programs: all $(TESTS) $(TOOLS) $(FUZZERS:%=$(BUILD)/tests/replay_%)
# Tests of the code itself, and runs of the program, each a goal (`make run/test_aim`, `make run/golden`), the longest first;
# `make coverage` counts the lines of both. None reads standard input.
PAGES   := $(addprefix run/,readme locale install)
RUNS    := run/schema $(filter-out run/schema run/lint% $(PAGES),$(patsubst tests/runs/%.sh,run/%,$(wildcard tests/runs/*.sh)))
UNIT    := $(TESTS:$(BUILD)/tests/unit/%=run/%)
REPLAYS := $(FUZZERS:%=run/replay_%)
.PHONY: $(RUNS) $(PAGES) $(UNIT) $(REPLAYS)
test: runs unit $(PAGES)
	@echo "all tests passed"
unit: $(UNIT) $(REPLAYS)
runs: $(RUNS)
$(UNIT): run/%: $(BUILD)/tests/unit/%
	@$< >$<.log 2>&1 </dev/null || { cat $<.log; echo "FAILED $*"; exit 1; }; echo "passed $*"
$(REPLAYS): run/%: $(BUILD)/tests/%
	@$< tests/fuzz/corpus/$(*:replay_%=%)/* </dev/null
$(RUNS) $(PAGES): run/%: $(BUILD)/iolrevise
	@BUILD=$(BUILD) CC="$(CC)" FLAGS="$(OPT) $(CFLAGS) $(LDFLAGS)" WHOLE=$(WHOLE) sh tests/runs/$*.sh </dev/null
run/test_power: $(BUILD)/iolrevise
$(RUNS) run/locale: $(filter-out %/bench,$(TOOLS))
# These run make once more, or blocks of the pages, which may: nothing may be left to build.
run/install run/readme: programs

# Files that are the program's own output: rewritten here, compared by the tests.
docs: all $(TOOLS)
	BUILD=$(BUILD) sh tests/tools/generate.sh

$(BUILD)/tests/replay_%: $(BUILD)/tests/fuzz/replay.o $(BUILD)/tests/fuzz/fuzz_%.o $(BUILD)/libiolrevise.a
	$(LINK) $(filter %.o,$^) $(filter %.a,$^) $(LIBS)
# Those of commands have no file system.
COMMANDS := $(addprefix $(BUILD)/tests/replay_,against merge set power)
$(COMMANDS): $(filter-out %/main.o,$(CLI_OBJ))
$(COMMANDS): LDFLAGS += -Wl,--wrap=fopen,--wrap=stat

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
           $(addprefix data/,$(addsuffix .def,case_fields site_fields plan_fields words faults formulas gross_rates evidence_factors))
below    = $(patsubst $(PREFIX)/%,$${prefix}/%,$(1))
CJSON_LIBS := $(shell pkg-config --libs libcjson 2>/dev/null || echo -lcjson)
PC_SED  := s|@PREFIX@|$(PREFIX)|; s|@LIBDIR@|$(call below,$(LIBDIR))|; s|@INCLUDEDIR@|$(call below,$(INCLUDEDIR))|; \
           s|@VERSION@|$(VERSION)|; s|@CJSON_LIBS@|$(CJSON_LIBS)|
SCHEMAS := case site plan recheck summary
PAGES   := README.md DEVELOPERS.md LICENSE $(wildcard docs/*.md) $(wildcard examples/*)
# Where each file goes, one a line: mode, file here, name there. Installed and uninstalled by the same list.
define PLACES
755 $(BUILD)/iolrevise $(BINDIR)/iolrevise
644 $(BUILD)/libiolrevise.a $(LIBDIR)/libiolrevise.a
755 $(BUILD)/$(SO).$(VERSION) $(LIBDIR)/$(SO).$(VERSION)
644 $(BUILD)/iolrevise.pc $(LIBDIR)/pkgconfig/iolrevise.pc
644 include/iolrevise.h $(INCLUDEDIR)/iolrevise.h
$(foreach f,$(HEADERS),644 $(f) $(INCLUDEDIR)/iolrevise/$(notdir $(f))$(newline))
$(foreach s,$(SCHEMAS),644 $(BUILD)/$(s).schema.json $(DATADIR)/iolrevise/$(s).schema.json$(newline))
644 docs/iolrevise.1 $(MANDIR)/man1/iolrevise.1
644 docs/completion.bash $(COMPDIR)/iolrevise
644 docs/completion.zsh $(ZSHDIR)/_iolrevise
644 docs/completion.fish $(FISHDIR)/iolrevise.fish
$(foreach f,$(PAGES),644 $(f) $(DOCDIR)/$(f)$(newline))
endef
define newline


endef
export PLACES
# Folders of our own alone: they go when they are empty.
OWN_DIRS = $(INCLUDEDIR)/iolrevise $(DATADIR)/iolrevise $(DOCDIR)/docs $(DOCDIR)/examples $(filter %/iolrevise,$(DOCDIR))
install: all
	sed '$(PC_SED)' src/iolrevise.pc.in >$(BUILD)/iolrevise.pc
	for s in $(SCHEMAS); do $(BUILD)/iolrevise schema $$s --output $(BUILD)/$$s.schema.json || exit 1; done
	printenv PLACES | while read -r mode from to; do \
	    [ -z "$$mode" ] || { install -d "$(DESTDIR)$${to%/*}" && install -m $$mode "$$from" "$(DESTDIR)$$to"; } || exit 1; done
	ln -sf $(SO).$(VERSION) "$(DESTDIR)$(LIBDIR)/$(SONAME)"
	ln -sf $(SONAME) "$(DESTDIR)$(LIBDIR)/$(SO)"

uninstall:
	printenv PLACES | while read -r mode from to; do [ -z "$$mode" ] || rm -f "$(DESTDIR)$$to" || exit 1; done
	rm -f "$(DESTDIR)$(LIBDIR)/$(SONAME)" "$(DESTDIR)$(LIBDIR)/$(SO)"
	for d in $(OWN_DIRS); do rmdir "$(DESTDIR)$$d" 2>/dev/null || true; done

# What is committed, as one archive: the same bytes from the same commit.
dist:
	@mkdir -p $(BUILD)
	git archive --format=tar --prefix=iolrevise-$(VERSION)/ HEAD | gzip -9n >$(BUILD)/iolrevise-$(VERSION).tar.gz
distcheck:
	@BUILD=$(BUILD) sh tests/heavy/dist.sh

clean:
	rm -rf $(BUILD)
