#include "base/marks.h"

#include <stdbool.h>
#include <string.h>

#define INLINE static inline __attribute__((always_inline))

typedef void marks_finder(struct marks *m, const char *p, size_t n);
typedef uint16_t eight_places __attribute__((vector_size(16)));

/* Eight places, of which the last may be none: the next ones are written over them. */
INLINE uint16_t *write_eight(const struct marks *m, uint16_t *to, unsigned bits, eight_places from)
{
	eight_places places;

	memcpy(&places, m->places[bits], sizeof places);
	places += from;
	memcpy(to, &places, sizeof places);
	return to + m->count[bits];
}

INLINE uint16_t *write_places(const struct marks *m, uint16_t *to, uint64_t found, size_t from)
{
	eight_places at = (eight_places){ 0 } + (uint16_t)from;

	for (unsigned i = 0; i < MARKS_BLOCK; i += 8) {
		to = write_eight(m, to, found >> i & 0xff, at);
		at += 8;
	}
	return to;
}

/* The same for the whole text; `find` is inlined, so this is compiled once for each of them. */
INLINE void find_all(struct marks *m, const char *p, size_t n, uint64_t find(const char *))
{
	uint16_t *to = m->at;
	size_t i = 0;

	for (; i + MARKS_BLOCK <= n; i += MARKS_BLOCK)
		to = write_places(m, to, find(p + i), i);
	if (i < n)
		to = write_places(m, to, find(p + i) & ((UINT64_C(1) << (n - i)) - 1), i);
	m->n = (size_t)(to - m->at);
}

/* Whether no id has the byte. */
static bool is_mark(unsigned char c)
{
	unsigned char small = c | 0x20;

	return !((small >= 'a' && small <= 'z') || (c >= '0' && c <= '9') || c == '-' || c == '_');
}

static uint64_t find_each(const char *p)
{
	uint64_t found = 0;

	for (int i = 0; i < MARKS_BLOCK; i++)
		found |= (uint64_t)is_mark((unsigned char)p[i]) << i;
	return found;
}

static void find_portable(struct marks *m, const char *p, size_t n)
{
	find_all(m, p, n, find_each);
}

#if defined __x86_64__

#include <immintrin.h>

/* Every x86-64 has these. */
INLINE uint64_t find_16(const char *p)
{
	const __m128i v = _mm_loadu_si128((const __m128i *)(const void *)p);
	const __m128i letter = _mm_sub_epi8(_mm_or_si128(v, _mm_set1_epi8(0x20)), _mm_set1_epi8('a'));
	const __m128i digit = _mm_sub_epi8(v, _mm_set1_epi8('0'));
	const __m128i letters = _mm_cmpeq_epi8(_mm_min_epu8(letter, _mm_set1_epi8(25)), letter);
	const __m128i digits = _mm_cmpeq_epi8(_mm_min_epu8(digit, _mm_set1_epi8(9)), digit);
	const __m128i dashes = _mm_or_si128(_mm_cmpeq_epi8(v, _mm_set1_epi8('-')), _mm_cmpeq_epi8(v, _mm_set1_epi8('_')));
	const __m128i ids = _mm_or_si128(_mm_or_si128(letters, digits), dashes);

	return (uint64_t)(~(unsigned)_mm_movemask_epi8(ids) & 0xffff);
}

INLINE uint64_t find_4_times_16(const char *p)
{
	return find_16(p) | find_16(p + 16) << 16 | find_16(p + 32) << 32 | find_16(p + 48) << 48;
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

AVX2 INLINE uint64_t find_32(const char *p)
{
	const __m256i upper = _mm256_broadcastsi128_si256(_mm_loadu_si128((const __m128i *)(const void *)UPPER));
	const __m256i lower = _mm256_broadcastsi128_si256(_mm_loadu_si128((const __m128i *)(const void *)LOWER));
	const __m256i v = _mm256_loadu_si256((const __m256i *)(const void *)p);
	const __m256i halves = _mm256_and_si256(_mm256_srli_epi16(v, 4), _mm256_set1_epi8(15));
	const __m256i kinds = _mm256_and_si256(_mm256_shuffle_epi8(upper, halves), _mm256_shuffle_epi8(lower, v));

	return (uint32_t)_mm256_movemask_epi8(_mm256_cmpeq_epi8(kinds, _mm256_setzero_si256()));
}

AVX2 INLINE uint64_t find_2_times_32(const char *p)
{
	return find_32(p) | find_32(p + 32) << 32;
}

AVX2 static void find_avx2(struct marks *m, const char *p, size_t n)
{
	find_all(m, p, n, find_2_times_32);
}

#define AVX512 __attribute__((target("avx512f,avx512bw,avx512vbmi2,popcnt")))

/* The places of the bits, as one vector of bytes put together, are two of numbers. */
AVX512 INLINE uint16_t *write_places_512(uint16_t *to, uint64_t found, size_t from, __m512i each)
{
	const __m512i places = _mm512_maskz_compress_epi8(found, each), start = _mm512_set1_epi16((short)from);

	_mm512_storeu_si512(to, _mm512_add_epi16(_mm512_cvtepu8_epi16(_mm512_castsi512_si256(places)), start));
	_mm512_storeu_si512(to + 32, _mm512_add_epi16(_mm512_cvtepu8_epi16(_mm512_extracti64x4_epi64(places, 1)), start));
	return to + __builtin_popcountll(found);
}

AVX512 INLINE uint64_t find_64(const char *p)
{
	const __m512i upper = _mm512_broadcast_i32x4(_mm_loadu_si128((const __m128i *)(const void *)UPPER));
	const __m512i lower = _mm512_broadcast_i32x4(_mm_loadu_si128((const __m128i *)(const void *)LOWER));
	const __m512i v = _mm512_loadu_si512(p);
	const __m512i halves = _mm512_and_si512(_mm512_srli_epi16(v, 4), _mm512_set1_epi8(15));

	return _mm512_testn_epi8_mask(_mm512_shuffle_epi8(upper, halves), _mm512_shuffle_epi8(lower, v));
}

AVX512 static void find_avx512(struct marks *m, const char *p, size_t n)
{
	const __m512i each = _mm512_loadu_si512(m->each);
	uint16_t *to = m->at;
	size_t i = 0;

	for (; i + MARKS_BLOCK <= n; i += MARKS_BLOCK)
		to = write_places_512(to, find_64(p + i), i, each);
	if (i < n)
		to = write_places_512(to, find_64(p + i) & ((UINT64_C(1) << (n - i)) - 1), i, each);
	m->n = (size_t)(to - m->at);
}

static int ways(marks_finder *way[MARKS_WAYS])
{
	int n = 0;

	way[n++] = find_portable;
	way[n++] = find_sse2;
	__builtin_cpu_init();
	if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("bmi"))
		way[n++] = find_avx2;
	if (__builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512vbmi2") && __builtin_cpu_supports("popcnt"))
		way[n++] = find_avx512;
	return n;
}

#elif defined __aarch64__ && __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__

#include <arm_neon.h>

/* Every arm64 has these. */
INLINE uint8x16_t marks_16(const char *p)
{
	const uint8x16_t v = vld1q_u8((const uint8_t *)p);
	const uint8x16_t letters = vcleq_u8(vsubq_u8(vorrq_u8(v, vdupq_n_u8(0x20)), vdupq_n_u8('a')), vdupq_n_u8(25));
	const uint8x16_t digits = vcleq_u8(vsubq_u8(v, vdupq_n_u8('0')), vdupq_n_u8(9));
	const uint8x16_t dashes = vorrq_u8(vceqq_u8(v, vdupq_n_u8('-')), vceqq_u8(v, vdupq_n_u8('_')));

	return vmvnq_u8(vorrq_u8(vorrq_u8(letters, digits), dashes));
}

/* Each byte keeps its own bit of eight; adding neighbours three times makes one word of all. */
INLINE uint64_t find_4_times_16(const char *p)
{
	static const uint8_t BITS[16] = { 1, 2, 4, 8, 16, 32, 64, 128, 1, 2, 4, 8, 16, 32, 64, 128 };
	const uint8x16_t bits = vld1q_u8(BITS);
	uint8x16_t ab = vpaddq_u8(vandq_u8(marks_16(p), bits), vandq_u8(marks_16(p + 16), bits));
	uint8x16_t cd = vpaddq_u8(vandq_u8(marks_16(p + 32), bits), vandq_u8(marks_16(p + 48), bits));

	ab = vpaddq_u8(ab, cd);
	return vgetq_lane_u64(vreinterpretq_u64_u8(vpaddq_u8(ab, ab)), 0);
}

static void find_neon(struct marks *m, const char *p, size_t n)
{
	find_all(m, p, n, find_4_times_16);
}

static int ways(marks_finder *way[MARKS_WAYS])
{
	way[0] = find_portable;
	way[1] = find_neon;
	return 2;
}

#else

static int ways(marks_finder *way[MARKS_WAYS])
{
	way[0] = find_portable;
	return 1;
}

#endif

static void init_places(struct marks *m)
{
	for (uint8_t i = 0; i < MARKS_BLOCK; i++)
		m->each[i] = i;
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
	m->n = 0;
	m->find_all = way[which < n ? which : n - 1];
	return n;
}

void marks_init(struct marks *m)
{
	marks_init_way(m, MARKS_WAYS);
}
