# Withy. `make help` lists the targets.
# CC, CFLAGS, LDFLAGS, PREFIX, DESTDIR and B (the build folder) are the user's; what the
# build itself needs stands in the WY_ variables.

VERSION = 0.1.0
CC = cc
CFLAGS = -O2 -g
LDFLAGS =
PREFIX = /usr/local
DESTDIR =
B = build

WY_WARN = -Wall -Wextra -Wshadow -Wconversion -Wpedantic
WY_CFLAGS = -std=c11 -D_XOPEN_SOURCE=700 -DWITHY_VERSION='"$(VERSION)"' $(WY_WARN) \
	-include tools/lib/banned.h -iquote tools/lib -iquote $(B)/gen -MMD -MP -pthread
WY_LIBS = -Wl,-Bstatic -lyaml -lpcre2-8 -lutf8proc -Wl,-Bdynamic -lm -pthread

LIB_SRC := $(wildcard tools/lib/*.c)
TOOL_SRC := $(wildcard tools/wy-*.c)
UNIT_SRC := $(wildcard tests/unit/*.c)
OUTSIDE_SRC := $(wildcard tests/outside/*.c)
LIB_OBJ := $(LIB_SRC:tools/lib/%.c=$(B)/lib/%.o)
TOOLS := $(TOOL_SRC:tools/%.c=$(B)/bin/%)
UNITS := $(UNIT_SRC:tests/unit/%.c=$(B)/unit/%) $(OUTSIDE_SRC:tests/outside/%.c=$(B)/outside/%)

all: $(TOOLS)

$(B)/lib/%.o: tools/lib/%.c | $(B)/lib
	$(CC) $(CFLAGS) $(WY_CFLAGS) -c -o $@ $<

# What is generated from spec/, before anything of the library is compiled.
GEN_C = tools/gen/gen.c tools/lib/yaml.c tools/lib/utf8.c tools/lib/text.c tools/lib/mem.c
GEN_H = $(B)/gen/vocab_words.h $(B)/gen/vocab_tables.h $(B)/gen/rules_words.h $(B)/gen/rules_tables.h \
	$(B)/gen/house_words.h $(B)/gen/house_tables.h

$(LIB_OBJ): | $(GEN_H)

$(B)/gen/make-%: tools/gen/%.c $(GEN_C) tools/gen/gen.h | $(B)/gen
	$(CC) $(CFLAGS) $(WY_CFLAGS) -MF $@.d $(LDFLAGS) -o $@ $< $(GEN_C) -Wl,-Bstatic -lyaml -lutf8proc -Wl,-Bdynamic

$(B)/gen/vocab_%.h: spec/vocabulary.yaml $(B)/gen/make-vocab
	$(B)/gen/make-vocab $* $< >$@

$(B)/gen/rules_%.h: spec/rules.yaml $(B)/gen/make-rules
	$(B)/gen/make-rules $* $< >$@

$(B)/gen/house_%.h: spec/house-keys.yaml spec/vocabulary.yaml $(B)/gen/make-house
	$(B)/gen/make-house $* $< >$@

# What is generated and kept: the JSON Schema and the clauses of the page. A test compares them.
spec: $(B)/gen/make-house
	$(B)/gen/make-house schema spec/house-keys.yaml >$(B)/gen/house.schema.json
	$(B)/gen/make-house page spec/house-keys.yaml <spec/house.5 >$(B)/gen/house.5
	cp $(B)/gen/house.schema.json $(B)/gen/house.5 spec/

$(B)/libwithy.a: $(LIB_OBJ)
	rm -f $@
	$(AR) rcs $@ $^

$(B)/bin/wy-%: tools/wy-%.c $(B)/libwithy.a | $(B)/bin
	$(CC) $(CFLAGS) $(WY_CFLAGS) -MF $(B)/bin/.wy-$*.d $(LDFLAGS) -o $@ $< $(B)/libwithy.a $(WY_LIBS)

$(B)/unit/%: tests/unit/%.c $(B)/libwithy.a | $(B)/unit
	$(CC) $(CFLAGS) $(WY_CFLAGS) -Itests/unit -MF $(B)/unit/.$*.d $(LDFLAGS) -o $@ $< $(B)/libwithy.a $(WY_LIBS)

$(B)/outside/%: tests/outside/%.c $(B)/libwithy.a | $(B)/outside
	$(CC) $(CFLAGS) $(WY_CFLAGS) -MF $(B)/outside/.$*.d $(LDFLAGS) -o $@ $< $(B)/libwithy.a $(WY_LIBS)

units: $(UNITS)

$(B)/lib $(B)/bin $(B)/unit $(B)/outside $(B)/gen:
	mkdir -p $@

clean:
	rm -rf $(B)

-include $(wildcard $(B)/lib/*.d $(B)/bin/.*.d $(B)/unit/.*.d $(B)/outside/.*.d $(B)/gen/*.d)

.PHONY: all units clean
.DELETE_ON_ERROR:
