#include "base/sha256.h"

enum { BLOCK = 64, ROUNDS = 64, LENGTH_AT = 56 };

/* FIPS 180-4, clause 4.2.2 and 5.3.3. */
static const uint32_t constant[ROUNDS] = {
	0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5, 0xd807aa98, 0x12835b01, 0x243185be,
	0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174, 0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa,
	0x5cb0a9dc, 0x76f988da, 0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967, 0x27b70a85,
	0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85, 0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3,
	0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070, 0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f,
	0x682e6ff3, 0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2,
};

static const uint32_t start[8] = { 0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19 };

static uint32_t turn(uint32_t x, unsigned by)
{
	return x >> by | x << (32 - by);
}

static void spread_block(const unsigned char *p, uint32_t w[ROUNDS])
{
	for (int i = 0; i < 16; i++)
		w[i] = (uint32_t)p[4 * i] << 24 | (uint32_t)p[4 * i + 1] << 16 | (uint32_t)p[4 * i + 2] << 8 | p[4 * i + 3];
	for (int i = 16; i < ROUNDS; i++) {
		uint32_t a = w[i - 15], b = w[i - 2];

		w[i] = w[i - 16] + (turn(a, 7) ^ turn(a, 18) ^ a >> 3) + w[i - 7] + (turn(b, 17) ^ turn(b, 19) ^ b >> 10);
	}
}

/* Clause 6.2.2; h[0] to h[7] are a to h of the standard. */
static void take_block(uint32_t state[8], const unsigned char *p)
{
	uint32_t w[ROUNDS], h[8];

	spread_block(p, w);
	memcpy(h, state, sizeof h);
	for (int i = 0; i < ROUNDS; i++) {
		uint32_t one = h[7] + (turn(h[4], 6) ^ turn(h[4], 11) ^ turn(h[4], 25)) + ((h[4] & h[5]) ^ (~h[4] & h[6])) + constant[i] + w[i];
		uint32_t two = (turn(h[0], 2) ^ turn(h[0], 13) ^ turn(h[0], 22)) + ((h[0] & h[1]) ^ (h[0] & h[2]) ^ (h[1] & h[2]));

		memmove(h + 1, h, 7 * sizeof *h);
		h[4] += one;
		h[0] = one + two;
	}
	for (int i = 0; i < 8; i++)
		state[i] += h[i];
}

/* The last bytes, a 1 bit, zeros, and the length in bits (clause 5.1.1): one block or two. */
static void take_end(uint32_t state[8], struct slice rest, uint64_t length)
{
	unsigned char last[2 * BLOCK] = { 0 };
	size_t end = rest.n < LENGTH_AT ? BLOCK : 2 * BLOCK;

	memcpy(last, rest.p, rest.n);
	last[rest.n] = 0x80;
	for (size_t i = 0; i < 8; i++)
		last[end - 1 - i] = (unsigned char)(length * 8 >> 8 * i);
	for (size_t at = 0; at < end; at += BLOCK)
		take_block(state, last + at);
}

void sha256(struct slice s, unsigned char digest[SHA256_BYTES])
{
	uint64_t length = s.n;
	uint32_t state[8];

	memcpy(state, start, sizeof state);
	for (; s.n >= BLOCK; s = slice_from(s, BLOCK))
		take_block(state, (const unsigned char *)s.p);
	take_end(state, s, length);
	for (size_t i = 0; i < SHA256_BYTES; i++)
		digest[i] = (unsigned char)(state[i / 4] >> (24 - 8 * (i % 4)));
}

void buf_base64(struct buf *b, struct slice s)
{
	static const char sign[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

	for (size_t i = 0; i < s.n; i += 3) {
		uint32_t bits = 0;

		for (size_t k = 0; k < 3; k++)
			bits = bits << 8 | (i + k < s.n ? (unsigned char)s.p[i + k] : 0U);
		for (size_t k = 0; k < 4; k++)
			buf_char(b, i + k <= s.n ? sign[bits >> (18 - 6 * k) & 63] : '=');
	}
}
