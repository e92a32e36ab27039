/*
 * sha256 - SHA-256 beside the examples of FIPS 180-2, appendix B, and Base64 beside those of RFC 4648, clause 10.
 */
#include "base/sha256.h"

#include "expect.h"

static void expect_hash(struct slice s, const char *want)
{
	unsigned char digest[SHA256_BYTES];
	char hex[2 * SHA256_BYTES + 1];

	sha256(s, digest);
	for (int i = 0; i < SHA256_BYTES; i++)
		snprintf(hex + (size_t)i * 2, 3, "%02x", digest[i]);
	expect_true(want, strcmp(hex, want) == 0);
}

static void expect_base64(const char *plain, const char *want)
{
	struct buf b = BUF_INIT;

	buf_base64(&b, slice_of(plain));
	expect_true(want, slice_eq(buf_slice(&b), slice_of(want)));
	buf_release(&b);
}

/* B.3: one million times "a". */
static void million(void)
{
	struct buf b = BUF_INIT;

	buf_fill(&b, 'a', 1000000);
	expect_hash(buf_slice(&b), "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
	buf_release(&b);
}

int main(void)
{
	expect_hash(SLICE("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
	expect_hash(SLICE("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"), "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
	million();
	expect_base64("f", "Zg==");
	expect_base64("fo", "Zm8=");
	expect_base64("foo", "Zm9v");
	expect_base64("foob", "Zm9vYg==");
	expect_base64("fooba", "Zm9vYmE=");
	expect_base64("foobar", "Zm9vYmFy");
	return expect_verdict(9);
}
