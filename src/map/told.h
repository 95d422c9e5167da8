/* Progress across processes: told in the child, passed on by the parent. */
#ifndef LIPWALK_SRC_MAP_TOLD_H
#define LIPWALK_SRC_MAP_TOLD_H

#include "lipwalk/base/progress.h"

struct lw_told; /* a page of memory that a child process shares */

struct lw_told *lw_told_new(void); /* before the fork; NULL when memory ran out */
void lw_told_free(struct lw_told *told);
/* For the child: what is told to it, from any thread, the parent can pass on. A step that told.c
 * does not list is passed on as "reading the map". */
struct lw_progress lw_told_progress(struct lw_told *told);
/* In the parent: tells `to` the last of it ("reading the map" before the first). */
void lw_told_pass_on(struct lw_told *told, const struct lw_progress *to);

#endif
