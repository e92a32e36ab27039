#include "label/qr.h"

#include <qrencode.h>
#include <stdlib.h>

/* Readers guess what bytes beyond ASCII mean, and not alike. */
static bool is_printable(struct slice text)
{
	size_t i = 0;

	while (i < text.n && text.p[i] >= ' ' && text.p[i] <= '~')
		i++;
	return i == text.n;
}

bool qr_make(struct qr *q, struct slice text)
{
	char *copy = mem_copy(text.p, text.n);
	QRcode *code = text.n && is_printable(text) ? QRcode_encodeString8bit(copy, 0, QR_ECLEVEL_M) : NULL;

	free(copy);
	*q = (struct qr){ 0, NULL };
	if (!code)
		return false;
	q->side = code->width;
	q->dark = mem_array((size_t)(code->width * code->width), 1);
	for (int i = 0; i < code->width * code->width; i++)
		q->dark[i] = code->data[i] & 1;
	QRcode_free(code);
	return true;
}

void qr_release(struct qr *q)
{
	free(q->dark);
}
