/*
 * int128.h - integers of 128 bits, for exact sums and products. ISO C has none; gcc and clang do.
 */
#ifndef WITHY_INT128_H
#define WITHY_INT128_H

__extension__ typedef __int128 int128;

#endif
