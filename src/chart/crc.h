/* CRC-32 of IEEE 802.3, sixteen bytes at a time. */
#ifndef LIPWALK_SRC_CHART_CRC_H
#define LIPWALK_SRC_CHART_CRC_H

#include <stddef.h>
#include <stdint.h>

struct lw_crc {
    uint32_t now; /* of all that was added */
    uint32_t table[16][256];
};
void lw_crc_start(struct lw_crc *crc);
void lw_crc_add(struct lw_crc *crc, const void *data, size_t n);

#endif
