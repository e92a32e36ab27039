/*
 * banned.h - functions that must not be used; included by the compiler's -include.
 *
 * Each either cannot be told how much space there is, keeps a hidden state that two
 * threads would share, or turns a number that it cannot read into 0 without a word.
 */
#ifndef WITHY_BANNED_H
#define WITHY_BANNED_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <time.h>

#pragma GCC poison strcpy strcat sprintf vsprintf strtok gets
#pragma GCC poison atoi atol atoll atof
#pragma GCC poison gmtime localtime ctime asctime mktime
#pragma GCC poison setlocale

#endif
