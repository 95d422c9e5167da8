/* What the import must know of cache files. */
#ifndef LIPWALK_SRC_CHART_CACHE_H
#define LIPWALK_SRC_CHART_CACHE_H

/* Counts up whenever the file's form or the way charts are made changes. */
#define LW_CACHE_VERSION 4

/* Removes from the folder the cache files that were not used for 90 days and, while the rest take
 * more than 2 GB, those used longest ago, but none used within the last day: another run may be
 * about to open it. `now_s` is the time since the epoch. Nothing else in the folder is touched. */
void lw_cache_prune(const char *folder, long long now_s);

#endif
