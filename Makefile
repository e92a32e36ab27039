# Withy. `make help` lists the targets.
# CC, CFLAGS, LDFLAGS, PREFIX, LIBDIR, DESTDIR and B (the build folder) are the user's; what the
# build itself needs is in the WY_ variables.

VERSION = 0.1.0
CC = cc
CFLAGS = -O2
LDFLAGS =
PREFIX = /usr/local
LIBDIR = lib
DESTDIR =
B = build

WY_WARN = -Wall -Wextra -Wshadow -Wconversion -Wpedantic
# Position-independent, its relocations read-only, with checks of the stack and of sizes. The bytes do
# not depend on the folder. The sanitizers have checks of their own.
WY_HARDEN = $(if $(findstring -fsanitize,$(CFLAGS)),,-fstack-protector-strong -fstack-clash-protection -U_FORTIFY_SOURCE -D_FORTIFY_SOURCE=2)
WY_PLACE = -ffile-prefix-map='$(subst ','\'',$(CURDIR))'=.
WY_LDFLAGS = -Wl,-z,relro,-z,now,-z,noexecstack
WY_CFLAGS = -fPIE $(WY_HARDEN) $(WY_PLACE) -std=c11 -D_XOPEN_SOURCE=700 -DWITHY_VERSION='"$(VERSION)"' $(WY_WARN) \
	-include tools/lib/base/banned.h -iquote tools/lib -iquote $(B)/gen -MMD -MP -pthread
# A filter is started hundreds of times in a pipeline: linked statically it starts in two thirds of
# the time. The sanitizers need the C library linked dynamically (STATIC= does that).
# SHARED=1 is for systems without static archives: every library is linked dynamically.
STATIC = $(if $(SHARED)$(findstring -fsanitize,$(CFLAGS)),,-static-pie)
ARCHIVES = $(if $(SHARED),,-Wl,-Bstatic)
WY_LIBS = $(if $(STATIC),$(STATIC),-pie) $(WY_LDFLAGS) $(ARCHIVES) -lyaml -lpcre2-8 -lutf8proc -lgsl -lgslcblas -lminizip -lz -lzstd -lexpat -ljansson \
	$(if $(STATIC)$(SHARED),,-Wl,-Bdynamic) -lm -pthread

LIB_SRC := $(wildcard tools/lib/*/*.c)
TOOL_SRC := $(wildcard tools/wy-*.c)
PAGES := $(wildcard tools/*.1 tools/*.7 spec/*.5 spec/*.7)
SPEC := $(wildcard spec/*.yaml spec/*.json spec/*.abnf spec/*.md)
# What a program that uses the library includes. The headers of one module alone are left out.
HEADERS := $(filter-out %_internal.h,$(wildcard tools/lib/*/*.h))
GEN_HEADERS = $(addprefix $(B)/gen/,vocab_words.h rules_words.h house_words.h)
UNIT_SRC := $(wildcard tests/unit/*.c)
OUTSIDE_SRC := $(wildcard tests/outside/*.c)
TRUTH_SRC := $(wildcard tests/truth/*.c)
LIB_OBJ := $(LIB_SRC:tools/lib/%.c=$(B)/lib/%.o)
TOOLS := $(TOOL_SRC:tools/%.c=$(B)/bin/%)
UNITS := $(UNIT_SRC:tests/unit/%.c=$(B)/unit/%) $(OUTSIDE_SRC:tests/outside/%.c=$(B)/outside/%) \
	$(TRUTH_SRC:tests/truth/%.c=$(B)/truth/%)

all: $(TOOLS)

# With other flags everything is built again.
$(B)/flags: force
	@mkdir -p $(@D)
	@printf '%s\n' '$(subst ','\'',$(CC) $(CFLAGS) $(WY_CFLAGS) $(LDFLAGS) $(WY_LIBS))' | cmp -s - $@ || \
		printf '%s\n' '$(subst ','\'',$(CC) $(CFLAGS) $(WY_CFLAGS) $(LDFLAGS) $(WY_LIBS))' >$@

$(LIB_OBJ) $(TOOLS) $(UNITS): $(B)/flags

$(B)/lib/%.o: tools/lib/%.c
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(WY_CFLAGS) -c -o $@ $<

# What writes out what others compute gains nothing by -O2, and compiles in two thirds of the time without it.
WRITERS := $(foreach part,/board/ /chart/ /cli/ /due/ /house/ /intake/ /jot/ /label/ /merge/ /month/ /page/ /pair/ /serve/ _view,\
	$(foreach object,$(LIB_OBJ),$(if $(findstring $(part),$(object)),$(object))))
ifeq ($(origin CFLAGS),file)
$(WRITERS) $(B)/gen/make-%: private WY_CFLAGS += -O1
endif

# madvise() is not in POSIX.
$(B)/lib/base/mem.o: WY_CFLAGS += -D_DEFAULT_SOURCE
$(B)/lib/base/crew.o: WY_CFLAGS += -D_GNU_SOURCE

# Generated from spec/ before the library is compiled.
GEN_C = tools/gen/gen.c $(addprefix tools/lib/base/,yaml.c utf8.c text.c mem.c hash_index.c)
GEN_H = $(B)/gen/vocab_words.h $(B)/gen/vocab_tables.h $(B)/gen/rules_words.h $(B)/gen/rules_tables.h \
	$(B)/gen/house_words.h $(B)/gen/house_tables.h $(B)/gen/house_problems.h $(B)/gen/page_style.h $(B)/gen/board_find.h

$(LIB_OBJ): | $(GEN_H)

$(B)/gen/make-%: tools/gen/%.c $(GEN_C) tools/gen/gen.h | $(B)/gen
	$(CC) $(CFLAGS) $(WY_CFLAGS) -MF $@.d $(LDFLAGS) -o $@ $< $(GEN_C) $(ARCHIVES) -pie $(WY_LDFLAGS) -lyaml -lutf8proc $(if $(SHARED),,-Wl,-Bdynamic)

$(B)/gen/vocab_%.h: spec/vocabulary.yaml $(B)/gen/make-vocab
	$(B)/gen/make-vocab $* $< >$@

$(B)/gen/rules_%.h: spec/rules.yaml $(B)/gen/make-rules
	$(B)/gen/make-rules $* $< >$@

$(B)/gen/house_%.h: spec/house-keys.yaml spec/vocabulary.yaml $(B)/gen/make-house
	$(B)/gen/make-house $* $< >$@

# How pages look, and the script of one, as C texts.
$(B)/gen/page_style.h: tools/lib/page/page.css tools/gen/text.awk | $(B)/gen
	awk -v name=page_style -f tools/gen/text.awk $< >$@

$(B)/gen/board_find.h: tools/lib/board/find.js tools/gen/text.awk | $(B)/gen
	awk -v name=board_find -f tools/gen/text.awk $< >$@

# Generated files in the repository: the JSON Schema and the clauses of the page. A test compares them.
spec: $(B)/gen/make-house
	$(B)/gen/make-house schema spec/house-keys.yaml >$(B)/gen/house.schema.json
	$(B)/gen/make-house page spec/house-keys.yaml <spec/house.5 >$(B)/gen/house.5
	cp $(B)/gen/house.schema.json $(B)/gen/house.5 spec/

# Words for editors, shells and pages: make-words makes FILE from the template FILE.in; both are in the
# repository (tools/gen/words.c describes the template). A test compares them.
KEPT := $(patsubst %.in,$(B)/kept/%,$(shell find editors spec tools -name '*.in'))

$(B)/kept/%: %.in $(B)/gen/make-words spec/vocabulary.yaml spec/rules.yaml $(wildcard tools/wy-*.1)
	mkdir -p $(@D)
	$(B)/gen/make-words $< $(sort $(wildcard tools/wy-*.1)) >$@

kept: $(KEPT)

words: spec kept
	cp -R $(B)/kept/. .

# An object whose source has moved to another room is left over; the tests of the rooms would look at it.
$(B)/libwithy.a: $(LIB_OBJ)
	rm -f $@ $(filter-out $(LIB_OBJ),$(wildcard $(B)/lib/*/*.o))
	$(AR) rcs $@ $(LIB_OBJ)

# The files that wy-start writes, as C texts.
$(B)/gen/start_files.h: tools/gen/start.awk $(sort $(wildcard tools/start/*)) | $(B)/gen
	awk -f tools/gen/start.awk $(sort $(wildcard tools/start/*)) >$@

$(B)/bin/wy-start: $(B)/gen/start_files.h

$(B)/bin/wy-%: tools/wy-%.c $(B)/libwithy.a | $(B)/bin
	$(CC) $(CFLAGS) $(WY_CFLAGS) -MF $(B)/bin/.wy-$*.d $(LDFLAGS) -o $@ $< $(B)/libwithy.a $(WY_TOOL_LIBS) $(WY_LIBS)

# Only the tool that asks on a terminal has these libraries.
$(B)/bin/wy-jot: private WY_TOOL_LIBS = $(ARCHIVES) -lreadline -ltinfo

# Debian has libqrencode as a shared library alone. Only this tool needs it.
$(B)/bin/wy-label: private STATIC =
$(B)/bin/wy-label: private WY_LIBS += -lqrencode

$(B)/unit/%: tests/unit/%.c $(B)/libwithy.a | $(B)/unit
	$(CC) $(CFLAGS) $(WY_CFLAGS) -Itests/unit -MF $(B)/unit/.$*.d $(LDFLAGS) -o $@ $< $(B)/libwithy.a $(WY_LIBS)

$(B)/outside/%: tests/outside/%.c $(B)/libwithy.a | $(B)/outside
	$(CC) $(CFLAGS) $(WY_CFLAGS) -MF $(B)/outside/.$*.d $(LDFLAGS) -o $@ $< $(B)/libwithy.a $(WY_LIBS)

$(B)/truth/%: tests/truth/%.c $(B)/libwithy.a | $(B)/truth
	$(CC) $(CFLAGS) $(WY_CFLAGS) -MF $(B)/truth/.$*.d $(LDFLAGS) -o $@ $< $(B)/libwithy.a $(WY_LIBS)

# The filter that DEVELOPERS.md shows as a pattern to copy.
$(B)/example/wy-events.c: DEVELOPERS.md | $(B)/example
	awk '/^```c$$/ { on = 1; next } /^```$$/ { on = 0 } on' DEVELOPERS.md >$@

$(B)/example/wy-events: $(B)/example/wy-events.c $(B)/libwithy.a
	$(CC) $(CFLAGS) $(WY_CFLAGS) -MF $(B)/example/.wy-events.d $(LDFLAGS) -o $@ $< $(B)/libwithy.a $(WY_LIBS)

units: $(UNITS) $(B)/example/wy-events

include samples/samples.mk

$(B)/bin $(B)/unit $(B)/outside $(B)/truth $(B)/example $(B)/gen:
	mkdir -p $@

check: all
	sh tests/run.sh

demo: all
	sh samples/demo.sh
	sh samples/gallery.sh $(B)/gallery
	@echo 'pictures: $(B)/gallery/index.html'

bench: all
	sh tests/bench/run.sh

# Pages go by their section; editor files where the editors of a Debian system look for them.
install: all $(B)/libwithy.a
	sh tools/folders.sh "$(DESTDIR)$(PREFIX)" bin share/withy/spec $(LIBDIR)/pkgconfig \
		$(sort $(patsubst tools/lib/%,include/withy/%,$(patsubst %/,%,$(dir $(HEADERS))))) $(sort $(patsubst .%,share/man/man%,$(suffix $(PAGES)))) $$(sh editors/install.sh --folders)
	install -m 755 $(TOOLS) "$(DESTDIR)$(PREFIX)/bin"
	for page in $(PAGES); do \
		install -m 644 "$$page" "$(DESTDIR)$(PREFIX)/share/man/man$${page##*.}" || exit 1; \
	done
	install -m 644 $(SPEC) "$(DESTDIR)$(PREFIX)/share/withy/spec"
	for header in $(HEADERS:tools/lib/%=%); do \
		install -m 644 "tools/lib/$$header" "$(DESTDIR)$(PREFIX)/include/withy/$$header" || exit 1; \
	done
	install -m 644 $(GEN_HEADERS) "$(DESTDIR)$(PREFIX)/include/withy"
	install -m 644 $(B)/libwithy.a "$(DESTDIR)$(PREFIX)/$(LIBDIR)"
	sed 's|@PREFIX@|$(PREFIX)|; s|@LIBDIR@|$(LIBDIR)|; s|@VERSION@|$(VERSION)|' tools/withy.pc.text \
		>"$(DESTDIR)$(PREFIX)/$(LIBDIR)/pkgconfig/withy.pc"
	chmod 644 "$(DESTDIR)$(PREFIX)/$(LIBDIR)/pkgconfig/withy.pc"
	sh editors/install.sh "$(DESTDIR)$(PREFIX)"

uninstall:
	for tool in $(notdir $(TOOLS)); do rm -f "$(DESTDIR)$(PREFIX)/bin/$$tool"; done
	for page in $(PAGES); do \
		rm -f "$(DESTDIR)$(PREFIX)/share/man/man$${page##*.}/$${page##*/}"; \
	done
	sh editors/install.sh --remove "$(DESTDIR)$(PREFIX)"
	for file in $(notdir $(SPEC)); do rm -f "$(DESTDIR)$(PREFIX)/share/withy/spec/$$file"; done
	for header in $(HEADERS:tools/lib/%=%) $(notdir $(GEN_HEADERS)); do rm -f "$(DESTDIR)$(PREFIX)/include/withy/$$header"; done
	rm -f "$(DESTDIR)$(PREFIX)/$(LIBDIR)/libwithy.a" "$(DESTDIR)$(PREFIX)/$(LIBDIR)/pkgconfig/withy.pc"
	sh tools/folders.sh --remove "$(DESTDIR)$(PREFIX)"

# Both are the same bytes each time: tools/deb/*.sh say how.
dist:
	sh tools/deb/dist.sh $(VERSION) $(B)/dist

deb:
	sh tools/deb/deb.sh $(VERSION) $(B)/deb

# Needs root and a network.
deb-check:
	sh tools/deb/check.sh $(B)/deb

help:
	@echo 'all        build the tools into $(B)/bin (the default)'
	@echo 'check      build and run every test'
	@echo 'demo       the month of the sample works on one page, and pictures in $(B)/gallery'
	@echo 'bench      measure the speed: build/bench.md, and ratios'
	@echo 'words      renew the editor files and reference pages from spec/'
	@echo 'samples    generate the sample works again'
	@echo 'install    into PREFIX ($(PREFIX)), below DESTDIR; uninstall takes it out'
	@echo 'dist       a tar file of the sources and its checksum, in $(B)/dist; clean removes $(B)'
	@echo 'deb        Debian packages, in $(B)/deb; deb-check installs them in a fresh system and removes them'

clean:
	rm -rf $(B)

-include $(wildcard $(B)/lib/*/*.d $(B)/bin/.*.d $(B)/unit/.*.d $(B)/outside/.*.d $(B)/truth/.*.d $(B)/example/.*.d $(B)/gen/*.d)

.PHONY: force all kept words units check demo bench install uninstall dist deb deb-check help clean spec
.DELETE_ON_ERROR:
