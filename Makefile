# SPDX-License-Identifier: GPL-3.0-or-later
# GNU make. `make help` lists the targets.
# Variants: release (default), asan, fuzz, werror-gcc, werror-clang; each has its own folder of objects.

VARIANT ?= release
PREFIX  ?= /usr/local
BINDIR  ?= $(PREFIX)/bin
LIBDIR  ?= $(PREFIX)/lib
INCDIR  ?= $(PREFIX)/include
DATADIR ?= $(PREFIX)/share/hillrow
DOCDIR  ?= $(PREFIX)/share/doc/hillrow
DESTDIR ?=
BUILD   ?= build

O := $(BUILD)/$(VARIANT)
# The default variant's program and library stand where a person looks for them.
B := $(if $(filter release,$(VARIANT)),$(BUILD),$(O))

CC := $(if $(filter default,$(origin CC)),$(if $(filter fuzz %-clang,$(VARIANT)),clang,gcc),$(CC))
WARNINGS := -Wall -Wextra -Wshadow -Wvla -Wmissing-prototypes -Wstrict-prototypes \
	-Wwrite-strings -Wconversion -Wdouble-promotion
# WERROR=1: warnings of the release build are errors, which spares `lint` a build of its own.
VARIANT_FLAGS_release      := -O2 -g $(if $(WERROR),-Werror)
VARIANT_FLAGS_asan         := -O1 -g -fno-omit-frame-pointer -fsanitize=address,undefined \
	-fno-sanitize-recover=all
VARIANT_FLAGS_fuzz         := -O1 -g -fno-omit-frame-pointer -fsanitize=fuzzer-no-link,address,undefined \
	-fno-sanitize-recover=all
VARIANT_FLAGS_werror-gcc   := -O2 -Werror
# Clang finds what it warns of before it makes code (gcc does not): no code is asked for.
VARIANT_FLAGS_werror-clang := -fsyntax-only -Werror
ifndef VARIANT_FLAGS_$(VARIANT)
$(error no such VARIANT: $(VARIANT))
endif

# Asked for when first needed, not when this file is read: `deps` may have to install pkg-config.
# -isystem: warnings are for our own code.
PACKAGES := geos gsl libpng yaml-0.1 cairo pangocairo jansson
PKG_CFLAGS = $(eval PKG_CFLAGS := $$(patsubst -I%,-isystem %,$$(shell pkg-config --cflags \
	$(PACKAGES))))$(PKG_CFLAGS)
PKG_LIBS = $(eval PKG_LIBS := $$(shell pkg-config --libs $(PACKAGES)))$(PKG_LIBS)
TEST_LIBS = $(eval TEST_LIBS := $$(shell pkg-config --libs criterion))$(TEST_LIBS)

HR_CFLAGS = -std=c17 -D_GNU_SOURCE -Iinclude -Isrc -MMD -MP $(WARNINGS) $(VARIANT_FLAGS_$(VARIANT)) \
	$(PKG_CFLAGS) $(CPPFLAGS) $(CFLAGS)
HR_LDFLAGS = $(VARIANT_FLAGS_$(VARIANT)) $(LDFLAGS)
# What stands for an object where none is made.
TOUCH = $(if $(filter -fsyntax-only,$(VARIANT_FLAGS_$(VARIANT))),@touch $@,)
HR_LIBS = -lglpk $(PKG_LIBS) -lm $(LIBS)

# main, options and the commands make the program; everything else is the library.
PROGRAM_SRC := $(wildcard src/main.c src/options.c src/cmd_*.c)
LIBRARY_SRC := $(filter-out $(PROGRAM_SRC),$(wildcard src/*.c))
UNIT_SRC    := $(wildcard tests/unit/test_*.c)
PROGRAM_OBJ := $(PROGRAM_SRC:%.c=$(O)/%.o)
LIBRARY_OBJ := $(LIBRARY_SRC:%.c=$(O)/%.o)
FUZZ_SRC    := $(wildcard tests/fuzz/fuzz_*.c)
FUZZ_BIN    := $(FUZZ_SRC:%.c=$(O)/%)
UNIT_BIN    := $(UNIT_SRC:tests/unit/%.c=$(O)/tests/unit/%)
ORACLE_SRC  := $(wildcard tests/oracle/*.c) tests/bench/gardens.c
BENCH_BIN   := $(O)/tests/bench/bench
ORACLE_OBJ  := $(ORACLE_SRC:%.c=$(O)/%.o)
TOOL_BIN    := $(O)/tests/json_look
FORMATTED   := $(wildcard src/*.[ch] include/*.h tests/*.c $(addprefix tests/,$(addsuffix /*.[ch],\
	unit oracle bench fuzz)))

# Debian package=how else to see that it is there (a command, a header, a file, a pkg-config name).
DEPS_BUILD := gcc=gcc libc6-dev=stdio.h pkg-config=pkg-config libglpk-dev=glpk.h libgeos-dev=pc:geos \
	libgsl-dev=pc:gsl libpng-dev=pc:libpng libyaml-dev=pc:yaml-0.1 libcairo2-dev=pc:cairo \
	libpango1.0-dev=pc:pangocairo libjansson-dev=pc:jansson \
	fonts-dejavu-core=/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf
DEPS_TEST := libcriterion-dev=pc:criterion locales=/usr/share/i18n/locales/de_DE coinor-cbc=cbc \
	poppler-utils=pdfinfo python3-icalendar=/usr/lib/python3/dist-packages/icalendar
DEPS_LINT := clang=clang clang-format-14=clang-format-14 clang-tidy=clang-tidy cppcheck=cppcheck
DEPS_VALGRIND := valgrind=valgrind
DEPS_FUZZ := clang=clang libclang-rt-14-dev=/usr/lib/llvm-14/lib/clang/14.0.6/lib/linux

GOALS := $(or $(MAKECMDGOALS),all)
TESTING := $(filter test unit bench bench-update asan asan-run valgrind golden-update,$(GOALS))
LINTING := $(filter lint% objects format,$(GOALS))
DEPS := $(DEPS_BUILD) $(if $(TESTING)$(LINTING),$(DEPS_TEST)) $(if $(LINTING),$(DEPS_LINT)) \
	$(if $(filter valgrind,$(GOALS)),$(DEPS_VALGRIND)) $(if $(filter fuzz fuzz-run,$(GOALS)),$(DEPS_FUZZ))
# These goals install what is missing; the others only name it.
DEPS_WAY := $(if $(TESTING)$(LINTING)$(filter deps demo fuzz fuzz-run,$(GOALS)),install,check)

.PHONY: all deps demo test unit bench bench-update lint asan valgrind fuzz install uninstall clean \
	help golden-update format docs checked-deps always
.DELETE_ON_ERROR:
.SECONDARY:
.SUFFIXES:

all: $(B)/hillrow $(B)/libhillrow.a ## the program build/hillrow and the library (the default)

deps: checked-deps ## install what the build needs, from Debian's packages; nothing when it is there

checked-deps:
	@.ci/deps $(DEPS_WAY) $(DEPS)

$(B)/hillrow: $(PROGRAM_OBJ) $(B)/libhillrow.a
	$(CC) $(HR_LDFLAGS) -o $@ $^ $(HR_LIBS)

$(B)/libhillrow.a: $(LIBRARY_OBJ)
	rm -f $@
	$(AR) rcsD $@ $^

$(O)/%.o: %.c Makefile $(O)/flags | checked-deps
	@mkdir -p $(@D)
	$(CC) $(HR_CFLAGS) -c -o $@ $<
	$(TOUCH)

# An object made with other flags is made again.
$(O)/flags: always
	@mkdir -p $(@D)
	@echo '$(VARIANT_FLAGS_$(VARIANT))' | cmp -s - $@ || echo '$(VARIANT_FLAGS_$(VARIANT))' > $@

# options.c alone knows where the crops are installed, and is made again when that changes.
$(O)/src/options.o: HR_CFLAGS += -DHILLROW_CROPS_DIR='"$(DATADIR)/crops"'
$(O)/src/options.o: $(O)/datadir
$(O)/datadir: always
	@mkdir -p $(@D)
	@echo '$(DATADIR)' | cmp -s - $@ || echo '$(DATADIR)' > $@

# The tests' own rules win by their shorter stem. Criterion's macros define functions without
# prototypes.
$(O)/tests/unit/%.o: tests/unit/%.c Makefile $(O)/flags | checked-deps
	@mkdir -p $(@D)
	$(CC) $(HR_CFLAGS) -Itests/unit -Itests/oracle -Itests/bench -Wno-missing-prototypes -c -o $@ $<
	$(TOUCH)

$(O)/tests/unit/%: $(O)/tests/unit/%.o $(B)/libhillrow.a
	$(CC) $(HR_LDFLAGS) -o $@ $^ $(HR_LIBS) $(TEST_LIBS)

# What the oracle's test and the benchmark have in common.
$(O)/tests/oracle/%.o $(O)/tests/bench/%.o: HR_CFLAGS += -Itests/oracle -Itests/bench
$(O)/tests/unit/test_oracle: $(ORACLE_OBJ)

$(BENCH_BIN): $(BENCH_BIN).o $(ORACLE_OBJ) $(B)/libhillrow.a
	$(CC) $(HR_LDFLAGS) -o $@ $^ $(HR_LIBS)

$(O)/tests/json_look: $(O)/tests/json_look.o
	$(CC) $(HR_LDFLAGS) -o $@ $^ -ljansson

demo: all ## plan the first sample and say where the map is
	$(B)/hillrow plan samples/first-plot.yaml -o $(B)/demo
	@echo
	@echo "The map:   $(abspath $(B)/demo/map.png)"
	@echo "The sheet: $(abspath $(B)/demo/sheet.pdf)"

unit: all $(UNIT_BIN) ## the unit tests alone
	@tests/run-unit.sh $(O)/reports $(UNIT_BIN)

test: all $(UNIT_BIN) $(TOOL_BIN) $(BENCH_BIN) ## every test; ends with `N passed, N failed`
	@tests/run-all.sh $(B) $(O) $(UNIT_BIN)

asan: ## unit tests and program cases under the address and undefined behaviour sanitizers
	@$(MAKE) --no-print-directory VARIANT=asan asan-run

.PHONY: asan-run
asan-run: all $(UNIT_BIN) $(TOOL_BIN)
	@HILLROW_ASAN=1 tests/run-all.sh $(B) $(O) $(UNIT_BIN)

valgrind: all $(TOOL_BIN) ## the program cases under valgrind
	@HILLROW_PREFIX="valgrind -q --error-exitcode=99 --leak-check=full --errors-for-leak-kinds=definite \
	  $$(test -f tests/valgrind.supp && echo --suppressions=$(CURDIR)/tests/valgrind.supp)" \
	  CASE_TIMEOUT=900 tests/run-cases.sh $(B) $(O)

bench: $(BENCH_BIN) ## tables of seconds, memory and gaps, a quarter of an hour; QUICK=1: a few, a minute
	@$(BENCH_BIN) $(if $(QUICK),--quick)

bench-update: $(BENCH_BIN) ## the same, into docs/benchmarks.md
	@$(BENCH_BIN) > $(O)/bench.md
	awk -f tests/bench/splice.awk $(O)/bench.md docs/benchmarks.md > $(O)/benchmarks.md
	mv $(O)/benchmarks.md docs/benchmarks.md

fuzz: ## each target of tests/fuzz for TIME seconds (default 60)
	@$(MAKE) --no-print-directory VARIANT=fuzz fuzz-run

TIME ?= 60
.PHONY: fuzz-run
fuzz-run: $(FUZZ_BIN)
	@for bin in $(FUZZ_BIN); do mkdir -p $$bin.corpus; \
	  $$bin -max_total_time=$(TIME) -timeout=10 -rss_limit_mb=2000 -print_final_stats=1 \
	  -artifact_prefix=$(O)/ $$bin.corpus tests/bad samples || exit 1; done

$(O)/tests/fuzz/%: $(O)/tests/fuzz/%.o $(B)/libhillrow.a
	$(CC) $(HR_LDFLAGS) -fsanitize=fuzzer -o $@ $^ $(HR_LIBS)

lint: lint-format lint-build lint-cppcheck lint-tidy ## formatting, clang-tidy, cppcheck, warnings of gcc and clang
	@echo "lint: nothing found"

.PHONY: lint-format lint-build lint-cppcheck lint-tidy
lint-format: checked-deps
	@clang-format-14 --dry-run -Werror $(FORMATTED)

lint-build: checked-deps
	@$(MAKE) --no-print-directory -s VARIANT=$(if $(WERROR),release,werror-gcc) objects
	@$(MAKE) --no-print-directory -s VARIANT=werror-clang objects

lint-cppcheck: checked-deps
	@mkdir -p $(O)/cppcheck
	@cppcheck --quiet --error-exitcode=1 --inline-suppr --std=c11 -j2 --cppcheck-build-dir=$(O)/cppcheck \
	  --suppressions-list=tests/cppcheck.supp --enable=warning,performance,portability \
	  -D_GNU_SOURCE -D__linux__ -DHILLROW_CROPS_DIR='""' -Iinclude -Isrc src

lint-tidy: checked-deps
	@printf '%s\n' $(wildcard src/*.c) | xargs -P2 -n1 tests/tidy.sh '-D_GNU_SOURCE -Iinclude -Isrc \
	  -DHILLROW_CROPS_DIR="" $(PKG_CFLAGS)'

.PHONY: objects
objects: $(PROGRAM_OBJ) $(LIBRARY_OBJ) $(UNIT_SRC:%.c=$(O)/%.o) $(ORACLE_OBJ) $(BENCH_BIN).o $(TOOL_BIN).o
	@echo "$(VARIANT): no warning"

golden-update: all $(TOOL_BIN) ## rewrite the expected outputs of tests/cases; review them as a diff
	@CASES_UPDATE=1 tests/run-cases.sh $(B) $(O)

format: ## format the sources
	clang-format-14 -i $(FORMATTED)

docs: all ## rewrite docs/garden-file.md from the field table
	tests/garden-file-doc.sh $(B)/hillrow > docs/garden-file.md.new
	mv docs/garden-file.md.new docs/garden-file.md

install: all ## PREFIX (default /usr/local), DESTDIR: program, library, header, crops, docs
	install -d $(DESTDIR)$(BINDIR) $(DESTDIR)$(LIBDIR) $(DESTDIR)$(INCDIR) $(DESTDIR)$(DATADIR)/crops \
	  $(DESTDIR)$(DATADIR)/samples $(DESTDIR)$(DOCDIR)
	install -m 755 $(B)/hillrow $(DESTDIR)$(BINDIR)/hillrow
	install -m 644 $(B)/libhillrow.a $(DESTDIR)$(LIBDIR)/libhillrow.a
	install -m 644 include/hillrow.h $(DESTDIR)$(INCDIR)/hillrow.h
	install -m 644 crops/*.yaml crops/sources.bib $(DESTDIR)$(DATADIR)/crops
	install -m 644 samples/*.yaml samples/*.csv $(DESTDIR)$(DATADIR)/samples
	install -m 644 README.md $(wildcard docs/*.md docs/*.png) docs/LICENSE $(DESTDIR)$(DOCDIR)

uninstall: ## remove what install put there
	rm -f $(DESTDIR)$(BINDIR)/hillrow $(DESTDIR)$(LIBDIR)/libhillrow.a $(DESTDIR)$(INCDIR)/hillrow.h
	rm -rf $(DESTDIR)$(DATADIR) $(DESTDIR)$(DOCDIR)

clean: ## remove build/
	rm -rf $(BUILD)

help: ## this list
	@awk -F ':.*## ' '/^[a-z-]+:.*## /{printf "  %-14s %s\n", $$1, $$2}' $(firstword $(MAKEFILE_LIST))

-include $(PROGRAM_OBJ:.o=.d) $(LIBRARY_OBJ:.o=.d) $(UNIT_SRC:%.c=$(O)/%.d) $(ORACLE_OBJ:.o=.d) \
	$(BENCH_BIN).d $(O)/tests/json_look.d $(FUZZ_SRC:%.c=$(O)/%.d)
