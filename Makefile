# lipwalk: build, test, demo. `make help` lists the goals.
#
# `demo`, `check`, `asan`, `bench`, `fuzz` and `format` first let contrib/setup install what is
# missing and then call make again, so that pkg-config is asked only after the install.

BUILD   ?= build
PREFIX  ?= /usr/local
DESTDIR ?=
CC      ?= cc
OPT     ?= -O2 -g
EXTRA   ?=
WERROR  ?=
SHELL    = /bin/sh
Q        = $(if $(V),,@)

# The rooms, in the order of the data; ROOMS="base geo" builds and tests a part.
ALL_ROOMS = base geo event conf sky rig chart map plan journal trip feed guide share ui cmd
ROOMS   ?= $(ALL_ROOMS)
PKGS     = ncursesw libgps sqlite3 gdal geos proj jansson inih libxml-2.0

WARN     = -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wvla $(if $(WERROR),-Werror)
CPPFLAGS_ALL = -Iinclude -D_GNU_SOURCE -DLW_DATADIR='"$(PREFIX)/share/lipwalk"' $(CPPFLAGS)
CFLAGS_ALL   = -std=c11 $(WARN) $(OPT) $(EXTRA) -fno-common $(CFLAGS)

# These goals call make again or compile nothing: they must work before pkg-config is there.
OUTER    = help clean uninstall check demo asan bench fuzz format arch
GOALS    = $(or $(MAKECMDGOALS),all)
ifneq ($(filter-out $(OUTER),$(GOALS)),)
PKG_CFLAGS := $(subst -I,-isystem ,$(shell pkg-config --cflags $(PKGS)))
PKG_LIBS   := $(shell pkg-config --libs $(PKGS)) -lpthread -lm
ifneq ($(shell cat $(BUILD)/prefix 2>/dev/null),$(PREFIX))
$(shell mkdir -p $(BUILD) && echo '$(PREFIX)' >$(BUILD)/prefix)
endif
endif

SRC      = $(sort $(foreach r,$(ROOMS),$(wildcard src/$r/*.c)))
MAIN_OBJ = $(BUILD)/src/cmd/main.o
OBJ      = $(filter-out $(MAIN_OBJ),$(SRC:%.c=$(BUILD)/%.o))
# a part has an archive of its own, so that it never stands in for the whole
PART     = $(filter-out $(ROOMS),$(ALL_ROOMS))
LIB      = $(BUILD)/liblipwalk$(if $(PART),-$(shell echo $(ROOMS) | tr ' ' '-')).a
TEST_SRC = $(sort $(foreach r,$(ROOMS),$(wildcard tests/$r/test_*.c)))
TEST_BIN = $(TEST_SRC:%.c=$(BUILD)/%)
# the build folder as the shell needs it: the checkout's path may hold spaces
HERE     = $(if $(filter /%,$(BUILD)),$(BUILD),$(CURDIR)/$(BUILD))
E2E      = $(sort $(wildcard tests/e2e/*.sh))

.PHONY: all
all: $(BUILD)/lipwalk

$(BUILD)/lipwalk: $(MAIN_OBJ) $(LIB)
	@echo "  LD    $@"
	$(Q)$(CC) $(CFLAGS_ALL) -o $@ $(MAIN_OBJ) $(LIB) $(LDFLAGS) $(PKG_LIBS)

$(LIB): $(OBJ)
	@echo "  AR    $@"
	$(Q)rm -f $@ && ar rcs $@ $^

$(BUILD)/%.o: %.c Makefile
	@mkdir -p $(@D)
	@echo "  CC    $<"
	$(Q)$(CC) $(CPPFLAGS_ALL) $(PKG_CFLAGS) $(CFLAGS_ALL) -MMD -MP -c -o $@ $<

# The themes' folder is compiled in: `make install PREFIX=...` after a plain `make` must not keep the
# folder of the other prefix.
$(BUILD)/src/conf/theme.o: $(BUILD)/prefix

$(BUILD)/tests/%: tests/%.c $(LIB) Makefile
	@mkdir -p $(@D)
	@echo "  CC    $<"
	$(Q)$(CC) $(CPPFLAGS_ALL) -Itests -Isrc $(PKG_CFLAGS) $(CFLAGS_ALL) -MMD -MP -MF $@.d -o $@ $< \
	    $(LIB) $(LDFLAGS) $(PKG_LIBS) $(if $(findstring /test_,$<),-lcriterion)

# Unit tests only, of the rooms chosen.
.PHONY: unit
unit: $(TEST_BIN)
	@tests/run $(BUILD)/unit.totals $(TEST_BIN)

.PHONY: check check-now
check:
	@contrib/setup check
	@$(MAKE) check-now
check-now: $(BUILD)/lipwalk $(TEST_BIN) arch
	@LIPWALK="$(HERE)/lipwalk" BUILD="$(HERE)" \
	    tests/run $(BUILD)/check.totals $(TEST_BIN) $(E2E)

# Unit tests under the address and undefined-behaviour sanitizers; any log, a leak's too, fails.
.PHONY: asan
asan:
	@contrib/setup check
	@$(MAKE) BUILD=$(BUILD)-asan OPT="-O1 -g" \
	    EXTRA="-fsanitize=address,undefined -fno-omit-frame-pointer -fno-sanitize-recover=undefined" asan-now
.PHONY: asan-now
asan-now: $(TEST_BIN)
	@tests/run $(BUILD)/unit.totals $(TEST_BIN)

.PHONY: fuzz fuzz-now
fuzz:
	@contrib/setup check
	@$(MAKE) BUILD=$(BUILD)-asan OPT="-O1 -g" \
	    EXTRA="-fsanitize=address,undefined -fno-omit-frame-pointer -fno-sanitize-recover=undefined" fuzz-now
fuzz-now: $(BUILD)/tests/fuzz/smoke
	$(BUILD)/tests/fuzz/smoke

.PHONY: bench bench-now
bench:
	@contrib/setup bench
	@$(MAKE) bench-now
bench-now: $(BUILD)/lipwalk $(BUILD)/tests/bench/pieces $(BUILD)/tests/bench/statewide \
    $(BUILD)/tests/bench/lips $(BUILD)/tests/bench/surface $(BUILD)/tests/bench/plan
	@LIPWALK="$(HERE)/lipwalk" BUILD="$(HERE)" tests/bench/run

.PHONY: demo demo-now
demo:
	@contrib/setup demo
	@$(MAKE) demo-now
demo-now: $(BUILD)/lipwalk
	@contrib/demo/run.sh "$(HERE)/lipwalk"

# The direction of the rooms, who may include which library, headers that compile alone.
.PHONY: arch
arch:
	@CC="$(CC)" tests/arch

.PHONY: format
format:
	@contrib/setup format
	clang-format -i $(shell find src include tests contrib -name '*.[ch]')

.PHONY: install uninstall
install: $(BUILD)/lipwalk
	install -d "$(DESTDIR)$(PREFIX)/bin" "$(DESTDIR)$(PREFIX)/share/lipwalk/themes"
	install -m 755 $(BUILD)/lipwalk "$(DESTDIR)$(PREFIX)/bin/lipwalk"
	install -m 644 themes/*.theme "$(DESTDIR)$(PREFIX)/share/lipwalk/themes"
uninstall:
	rm -f "$(DESTDIR)$(PREFIX)/bin/lipwalk"
	rm -rf "$(DESTDIR)$(PREFIX)/share/lipwalk"

.PHONY: clean
clean:
	rm -rf $(BUILD) $(BUILD)-asan

.PHONY: help
help:
	@echo "make            build $(BUILD)/lipwalk"
	@echo "make demo       the main job on an invented lake: simulated boat, real gpsd, the screen"
	@echo "make check      install what is missing, build, run all tests"
	@echo "make asan       unit tests under the address and undefined-behaviour sanitizers"
	@echo "make fuzz       a short run of mutated inputs under the sanitizers"
	@echo "make bench      timings and errors, as ratios against peers in the same run"
	@echo "make arch       check the direction of the rooms"
	@echo "make format     clang-format over the sources"
	@echo "make install    into DESTDIR and PREFIX ($(PREFIX)); uninstall takes it out again"
	@echo "make clean      remove what was built"
	@echo "V=1 prints the commands; WERROR=1 makes warnings errors; ROOMS=\"base geo\" builds and tests a part."

-include $(OBJ:.o=.d) $(MAIN_OBJ:.o=.d) $(TEST_BIN:=.d) \
    $(BUILD)/tests/fuzz/smoke.d $(BUILD)/tests/bench/pieces.d \
    $(BUILD)/tests/bench/statewide.d $(BUILD)/tests/bench/lips.d $(BUILD)/tests/bench/surface.d
