/*
 * git_head.h - the commit that the git repository around a file is at.
 *
 * Its files are read as git lays them down: HEAD, refs and packed-refs, in .git or where a .git file points (a worktree). No program is run.
 */
#ifndef WITHY_GIT_HEAD_H
#define WITHY_GIT_HEAD_H

#include <stdbool.h>

#include "base/text.h"

/* Adds the commit in hexadecimal. False where the file is in no repository, or in one without a commit, or one of another layout. */
bool git_head(const char *path, struct buf *commit);

#endif
