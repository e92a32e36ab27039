# The sample works. Its arithmetic must give the same results everywhere: no fused multiply-add.

SAMPLE_SRC := $(wildcard samples/gen/*.c)
SAMPLE_OBJ := $(SAMPLE_SRC:samples/gen/%.c=$(B)/samples/%.o)

$(B)/samples/%.o: samples/gen/%.c | $(B)/samples
	$(CC) $(CFLAGS) -ffp-contract=off $(WY_CFLAGS) -Isamples/gen -c -o $@ $<

$(SAMPLE_OBJ): | $(GEN_H)

$(B)/samples/generate: $(SAMPLE_OBJ) $(B)/libwithy.a
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $(SAMPLE_OBJ) $(B)/libwithy.a $(WY_LIBS)

# The tests generate the samples again and compare.
units: $(B)/samples/generate

$(B)/samples:
	mkdir -p $@

# Writes the book, the exports and the truth; git diff should then show nothing.
samples: $(B)/samples/generate
	$(B)/samples/generate samples

-include $(wildcard $(B)/samples/*.d)

.PHONY: samples
