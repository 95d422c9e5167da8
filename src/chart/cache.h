/* What the import must know of cache files. */
#ifndef LIPWALK_SRC_CHART_CACHE_H
#define LIPWALK_SRC_CHART_CACHE_H

#include <stddef.h>
#include <sys/types.h>

/* Counts up whenever the file's form or the way surfaces are made changes. */
#define LW_CACHE_VERSION 3

/* The name that process `pid` writes to before renaming: what a killed child may leave. */
void lw_cache_temporary(char *to, size_t size, const char *cache_path, pid_t pid);

#endif
