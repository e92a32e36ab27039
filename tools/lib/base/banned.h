/*
 * banned.h - functions that must not be used; included by the compiler's -include.
 *
 * Each has one of three faults. Some have no parameter for the size of the space. Some keep a
 * hidden state that two threads would share. Some turn a number that they cannot read into 0
 * without an error.
 */
#ifndef WITHY_BANNED_H
#define WITHY_BANNED_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <time.h>

/* Where the C library checks sizes, clang sees macros of these names. */
#undef sprintf
#undef vsprintf

#pragma GCC poison strcpy strcat sprintf vsprintf strtok gets
#pragma GCC poison atoi atol atoll atof
#pragma GCC poison gmtime localtime ctime asctime mktime
#pragma GCC poison setlocale

#endif
