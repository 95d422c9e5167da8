/* What the import must know of cache files. */
#ifndef LIPWALK_SRC_CHART_CACHE_H
#define LIPWALK_SRC_CHART_CACHE_H

/* Counts up whenever the file's form or the way surfaces are made changes. */
#define LW_CACHE_VERSION 3

#endif
