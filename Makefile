# lipwalk: build, test, demo. `make help` lists the goals.
#
# pkg-config is asked only in the goals that compile, after contrib/setup has installed what is
# missing: `check` and `demo` run contrib/setup first and then call make again.

BUILD   ?= build
PREFIX  ?= /usr/local
CC      ?= cc
OPT     ?= -O2 -g
EXTRA   ?=
WARN     = -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wvla
ifdef WERROR
WARN    += -Werror
endif

# Rooms in the order of the data; ROOMS="base geo" builds a part.
ROOMS   ?= base geo event conf sky chart plan journal trip feed guide share ui cmd
PKGS     = ncursesw libgps sqlite3 gdal geos proj jansson inih libxml-2.0

PKG_CFLAGS = $(shell pkg-config --cflags $(PKGS) | sed 's/-I/-isystem /g')
PKG_LIBS   = $(shell pkg-config --libs $(PKGS) | sed 's/-lgeos\b/-lgeos_c/') -lgeos_c -lpthread -lm
CPPFLAGS_ALL = -Iinclude -D_GNU_SOURCE -DLW_DATADIR='"$(PREFIX)/share/lipwalk"' $(CPPFLAGS)
CFLAGS_ALL   = -std=c11 $(WARN) $(OPT) $(EXTRA) -fno-common $(CFLAGS)

SRC      = $(sort $(foreach r,$(ROOMS),$(shell find src/$r -name '*.c' 2>/dev/null)))
OBJ      = $(SRC:%.c=$(BUILD)/%.o)
MAIN_OBJ = $(BUILD)/src/cmd/main.o
LIB      = $(BUILD)/liblipwalk.a
TEST_SRC = $(sort $(foreach r,$(ROOMS),$(shell find tests/$r -name 'test_*.c' 2>/dev/null)))
TEST_BIN = $(TEST_SRC:%.c=$(BUILD)/%)

.PHONY: all
all: $(BUILD)/lipwalk

$(BUILD)/flags.mk: Makefile
	@mkdir -p $(BUILD)
	@printf 'PKG_CFLAGS := %s\nPKG_LIBS := %s\n' "$(PKG_CFLAGS)" "$(PKG_LIBS)" > $@.tmp && mv $@.tmp $@

$(BUILD)/lipwalk: $(MAIN_OBJ) $(LIB)
	$(CC) $(CFLAGS_ALL) -o $@ $(MAIN_OBJ) $(LIB) $(LDFLAGS) $(PKG_LIBS)

$(LIB): $(filter-out $(MAIN_OBJ),$(OBJ))
	rm -f $@ && ar rcs $@ $^

$(BUILD)/%.o: %.c Makefile
	@mkdir -p $(@D)
	$(CC) $(CPPFLAGS_ALL) $(PKG_CFLAGS) $(CFLAGS_ALL) -MMD -MP -c -o $@ $<

$(BUILD)/tests/%: tests/%.c $(LIB) Makefile
	@mkdir -p $(@D)
	$(CC) $(CPPFLAGS_ALL) -Itests $(PKG_CFLAGS) $(CFLAGS_ALL) -MMD -MP -MF $@.d -o $@ $< $(LIB) $(LDFLAGS) $(PKG_LIBS) -lcriterion

.PHONY: unit
unit: $(TEST_BIN)
	@for t in $(TEST_BIN); do $$t || exit 1; done

.PHONY: clean
clean:
	rm -rf $(BUILD)

-include $(OBJ:.o=.d) $(TEST_BIN:=.d)
