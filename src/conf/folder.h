/* Where lipwalk's files lie, without making anything. */
#ifndef LIPWALK_SRC_CONF_FOLDER_H
#define LIPWALK_SRC_CONF_FOLDER_H

#include <stddef.h>

#include "lipwalk/base/error.h"

/* The path of the folder of that kind ('c', 'd', 'h'), made or not. */
int conf_folder_path(char kind, char *to, size_t size, struct lw_error *err);

#endif
