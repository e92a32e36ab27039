/*
 * loggers.h - which logger of the works wrote an export: the one whose serial number, or heading, is in
 * the name of the file or in the lines before its readings.
 */
#ifndef WITHY_LOGGERS_H
#define WITHY_LOGGERS_H

#include <stddef.h>

#include "base/text.h"

struct house;
struct mapping;

enum { LOGGER_NONE = -1 };

/*
 * The index of the logger in house->loggers, or LOGGER_NONE with what is wrong, and what to write, in `why`. `map`
 * has the mapping of each logger.
 */
int logger_find(const struct house *house, const struct mapping *map, const char *house_path, const char *path, struct buf *why);

/* Whether `word` is in `text`, and no letter or digit beside it. */
bool logger_has_word(struct slice text, struct slice word);

#endif
