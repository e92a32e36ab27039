#include "base/marks.h"

#include <stdbool.h>
#include <string.h>

enum { FIRST_OF_AVX2 = 2 }; /* of the ways on x86-64 */

#define INLINE static inline __attribute__((always_inline))

typedef void marks_finder(struct marks *m, const char *p, size_t n);
typedef uint16_t eight_places __attribute__((vector_size(16)));

/* Of 64 bytes. */
struct found {
	uint64_t mark, end;
};

/* Finds those of the whole text; `find` is inlined, so this is compiled once for each of them. */
INLINE void find_all(struct marks *m, const char *p, size_t n, struct found find(const char *))
{
	size_t i = 0;

	for (; i < n; i += MARKS_BLOCK) {
		struct found found = find(p + i);

		m->mark[i / MARKS_BLOCK] = found.mark;
		m->end[i / MARKS_BLOCK] = found.end;
	}
	if (n % MARKS_BLOCK) {
		m->mark[n / MARKS_BLOCK] &= (UINT64_C(1) << n % MARKS_BLOCK) - 1;
		m->end[n / MARKS_BLOCK] &= (UINT64_C(1) << n % MARKS_BLOCK) - 1;
	}
	for (i /= MARKS_BLOCK, n = i + MARKS_WORDS; i < n; i++)
		m->mark[i] = m->end[i] = 0;
}

/* Whether no id has the byte. */
static bool is_mark(unsigned char c)
{
	unsigned char small = c | 0x20;

	return !((small >= 'a' && small <= 'z') || (c >= '0' && c <= '9') || c == '-' || c == '_');
}

static struct found find_each(const char *p)
{
	struct found found = { 0, 0 };

	for (int i = 0; i < MARKS_BLOCK; i++) {
		found.mark |= (uint64_t)is_mark((unsigned char)p[i]) << i;
		found.end |= (uint64_t)(p[i] == '\n') << i;
	}
	return found;
}

static void find_portable(struct marks *m, const char *p, size_t n)
{
	find_all(m, p, n, find_each);
}

#if defined __x86_64__

#include <immintrin.h>

/* Every x86-64 has these. */
INLINE struct found find_16(const char *p)
{
	const __m128i v = _mm_loadu_si128((const __m128i *)(const void *)p);
	const __m128i letter = _mm_sub_epi8(_mm_or_si128(v, _mm_set1_epi8(0x20)), _mm_set1_epi8('a'));
	const __m128i digit = _mm_sub_epi8(v, _mm_set1_epi8('0'));
	const __m128i letters = _mm_cmpeq_epi8(_mm_min_epu8(letter, _mm_set1_epi8(25)), letter);
	const __m128i digits = _mm_cmpeq_epi8(_mm_min_epu8(digit, _mm_set1_epi8(9)), digit);
	const __m128i dashes = _mm_or_si128(_mm_cmpeq_epi8(v, _mm_set1_epi8('-')), _mm_cmpeq_epi8(v, _mm_set1_epi8('_')));
	const __m128i ids = _mm_or_si128(_mm_or_si128(letters, digits), dashes);

	return (struct found){ ~(unsigned)_mm_movemask_epi8(ids) & 0xffff,
		(unsigned)_mm_movemask_epi8(_mm_cmpeq_epi8(v, _mm_set1_epi8('\n'))) };
}

INLINE struct found find_4_times_16(const char *p)
{
	const struct found a = find_16(p), b = find_16(p + 16), c = find_16(p + 32), d = find_16(p + 48);

	return (struct found){ a.mark | b.mark << 16 | c.mark << 32 | d.mark << 48, a.end | b.end << 16 | c.end << 32 | d.end << 48 };
}

static void find_sse2(struct marks *m, const char *p, size_t n)
{
	find_all(m, p, n, find_4_times_16);
}

#define AVX2 __attribute__((target("avx2,bmi")))

/*
 * A byte is of an id if its upper half's and its lower half's kinds have one in common: 1 for 2d, 2 for 30 to 39, 4 for
 * 41 to 4f and 61 to 6f, 8 for 50 to 5a and 5f, 16 for 70 to 7a.
 */
static const uint8_t UPPER[16] = { 0, 0, 1, 2, 4, 8, 4, 16 };
static const uint8_t LOWER[16] = { 26, 30, 30, 30, 30, 30, 30, 30, 30, 30, 28, 4, 4, 5, 4, 12 };

AVX2 INLINE struct found find_32(const char *p)
{
	const __m256i upper = _mm256_broadcastsi128_si256(_mm_loadu_si128((const __m128i *)(const void *)UPPER));
	const __m256i lower = _mm256_broadcastsi128_si256(_mm_loadu_si128((const __m128i *)(const void *)LOWER));
	const __m256i v = _mm256_loadu_si256((const __m256i *)(const void *)p);
	const __m256i halves = _mm256_and_si256(_mm256_srli_epi16(v, 4), _mm256_set1_epi8(15));
	const __m256i kinds = _mm256_and_si256(_mm256_shuffle_epi8(upper, halves), _mm256_shuffle_epi8(lower, v));

	return (struct found){ (uint32_t)_mm256_movemask_epi8(_mm256_cmpeq_epi8(kinds, _mm256_setzero_si256())),
		(uint32_t)_mm256_movemask_epi8(_mm256_cmpeq_epi8(v, _mm256_set1_epi8('\n'))) };
}

AVX2 INLINE struct found find_2_times_32(const char *p)
{
	const struct found a = find_32(p), b = find_32(p + 32);

	return (struct found){ a.mark | b.mark << 32, a.end | b.end << 32 };
}

AVX2 static void find_avx2(struct marks *m, const char *p, size_t n)
{
	find_all(m, p, n, find_2_times_32);
}

#define AVX512 __attribute__((target("avx512f,avx512bw")))

AVX512 INLINE struct found find_64(const char *p)
{
	const __m512i upper = _mm512_broadcast_i32x4(_mm_loadu_si128((const __m128i *)(const void *)UPPER));
	const __m512i lower = _mm512_broadcast_i32x4(_mm_loadu_si128((const __m128i *)(const void *)LOWER));
	const __m512i v = _mm512_loadu_si512(p);
	const __m512i halves = _mm512_and_si512(_mm512_srli_epi16(v, 4), _mm512_set1_epi8(15));

	return (struct found){ _mm512_testn_epi8_mask(_mm512_shuffle_epi8(upper, halves), _mm512_shuffle_epi8(lower, v)),
		_mm512_cmpeq_epi8_mask(v, _mm512_set1_epi8('\n')) };
}

AVX512 static void find_avx512(struct marks *m, const char *p, size_t n)
{
	find_all(m, p, n, find_64);
}

static bool has_bmi2(void)
{
	return __builtin_cpu_supports("ssse3") && __builtin_cpu_supports("bmi") && __builtin_cpu_supports("bmi2");
}

static int ways(marks_finder *way[MARKS_WAYS])
{
	int n = 0;

	way[n++] = find_portable;
	way[n++] = find_sse2;
	__builtin_cpu_init();
	if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("bmi"))
		way[n++] = find_avx2;
	if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw"))
		way[n++] = find_avx512;
	return n;
}

#elif defined __aarch64__ && __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__

#include <arm_neon.h>

/* Every arm64 has these. */
INLINE uint8x16_t marks_16(uint8x16_t v)
{
	const uint8x16_t letters = vcleq_u8(vsubq_u8(vorrq_u8(v, vdupq_n_u8(0x20)), vdupq_n_u8('a')), vdupq_n_u8(25));
	const uint8x16_t digits = vcleq_u8(vsubq_u8(v, vdupq_n_u8('0')), vdupq_n_u8(9));
	const uint8x16_t dashes = vorrq_u8(vceqq_u8(v, vdupq_n_u8('-')), vceqq_u8(v, vdupq_n_u8('_')));

	return vmvnq_u8(vorrq_u8(vorrq_u8(letters, digits), dashes));
}

/* Each byte keeps its own bit of eight; adding neighbours three times makes one word of all. */
INLINE uint64_t bits_of(uint8x16_t a, uint8x16_t b, uint8x16_t c, uint8x16_t d)
{
	static const uint8_t BITS[16] = { 1, 2, 4, 8, 16, 32, 64, 128, 1, 2, 4, 8, 16, 32, 64, 128 };
	const uint8x16_t bits = vld1q_u8(BITS);
	uint8x16_t ab = vpaddq_u8(vandq_u8(a, bits), vandq_u8(b, bits));
	uint8x16_t cd = vpaddq_u8(vandq_u8(c, bits), vandq_u8(d, bits));

	ab = vpaddq_u8(ab, cd);
	return vgetq_lane_u64(vreinterpretq_u64_u8(vpaddq_u8(ab, ab)), 0);
}

INLINE struct found find_4_times_16(const char *p)
{
	const uint8_t *q = (const uint8_t *)p;
	const uint8x16_t a = vld1q_u8(q), b = vld1q_u8(q + 16), c = vld1q_u8(q + 32), d = vld1q_u8(q + 48), end = vdupq_n_u8('\n');

	return (struct found){ bits_of(marks_16(a), marks_16(b), marks_16(c), marks_16(d)),
		bits_of(vceqq_u8(a, end), vceqq_u8(b, end), vceqq_u8(c, end), vceqq_u8(d, end)) };
}

static void find_neon(struct marks *m, const char *p, size_t n)
{
	find_all(m, p, n, find_4_times_16);
}

static bool has_bmi2(void)
{
	return false;
}

static int ways(marks_finder *way[MARKS_WAYS])
{
	way[0] = find_portable;
	way[1] = find_neon;
	return 2;
}

#else

static bool has_bmi2(void)
{
	return false;
}

static int ways(marks_finder *way[MARKS_WAYS])
{
	way[0] = find_portable;
	return 1;
}

#endif

static void init_places(struct marks *m)
{
	for (unsigned bits = 0; bits < 256; bits++) {
		m->count[bits] = 0;
		for (uint16_t i = 0; i < 8; i++)
			if (bits >> i & 1)
				m->places[bits][m->count[bits]++] = i;
	}
}

int marks_init_way(struct marks *m, int which)
{
	marks_finder *way[MARKS_WAYS];
	int n = ways(way);

	memset(m->places, 0, sizeof m->places);
	init_places(m);
	m->base = NULL;
	m->limit = 0;
	which = which < n ? which : n - 1;
	m->find = way[which];
	m->use = which == 0 ? MARKS_USE_NOTHING : which >= FIRST_OF_AVX2 && has_bmi2() ? MARKS_USE_BMI2 : MARKS_USE_16;
	return n;
}

void marks_init(struct marks *m)
{
	marks_init_way(m, MARKS_WAYS);
}

bool marks_look(struct marks *m, const char *p, const char *end)
{
	size_t n = (size_t)(end - p) < MARKS_MOST ? (size_t)(end - p) : MARKS_MOST, i = (n + 63) / 64;

	m->find(m, p, n);
	m->base = p;
	while (i > 0 && !m->end[i - 1])
		i--;
	m->limit = i ? i * 64 - (size_t)__builtin_clzll(m->end[i - 1]) : 0;
	return i != 0;
}

/* Eight places, of which the last may be none: the next ones are written over them. */
static inline uint16_t *write_eight(const struct marks *m, uint16_t *to, unsigned bits, eight_places from)
{
	eight_places places;

	memcpy(&places, m->places[bits], sizeof places);
	places += from;
	memcpy(to, &places, sizeof places);
	return to + m->count[bits];
}

void marks_places(struct marks *m, const char *p)
{
	const size_t at = (size_t)(p - m->base);
	const uint64_t *mark = m->mark + at / 64, *end = m->end + at / 64;
	const unsigned from = at % 64;
	uint16_t *to = m->at;
	eight_places next = { 0 };

	for (;; mark++, end++) {
		uint64_t bits = marks_bits(mark, from);

		for (unsigned i = 0; i < 64; i += 8) {
			to = write_eight(m, to, bits >> i & 0xff, next);
			next += 8;
		}
		if (marks_bits(end, from))
			return;
	}
}
