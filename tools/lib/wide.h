/*
 * wide.h - integers of 128 bits, for exact sums and products. ISO C has none; gcc and clang do.
 */
#ifndef WITHY_WIDE_H
#define WITHY_WIDE_H

__extension__ typedef __int128 wide;

#endif
