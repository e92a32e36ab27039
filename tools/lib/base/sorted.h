/*
 * sorted.h - finds a number in rows that are sorted by it.
 */
#ifndef WITHY_SORTED_H
#define WITHY_SORTED_H

#include <stddef.h>
#include <stdint.h>

/*
 * The index of the first of n rows whose number is `number` or more; n for none. The number is a uint32_t that lies
 * `offset` bytes into each row of `size` bytes.
 */
size_t sorted_from(const void *rows, size_t n, size_t size, size_t offset, uint32_t number);

/* The same of an array of that type, by the name of the member. */
#define SORTED_FROM(rows, n, type, member, number) sorted_from((rows), (n), sizeof(type), offsetof(type, member), (number))

#endif
