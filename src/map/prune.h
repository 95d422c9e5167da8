/* Cache files that nobody needs any more. */
#ifndef LIPWALK_SRC_MAP_PRUNE_H
#define LIPWALK_SRC_MAP_PRUNE_H

/* Removes from the folder the cache files that were not used for 90 days and, while the rest take
 * more than 2 GB, those used longest ago, but none used within the last day: another run may be
 * about to open it. Scratch folders of killed readings go after a day. `now_s` is the time since
 * the epoch. Nothing else in the folder is touched. */
void lw_cache_prune(const char *folder, long long now_s);

#endif
