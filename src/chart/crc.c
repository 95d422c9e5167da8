#include "crc.h"

#define POLYNOMIAL 0xedb88320u /* IEEE 802.3, bits reversed */

/* table[k][b]: what byte b does to the remainder when k more bytes follow it (Kounavis and Berry,
 * "A Systematic Approach to Building High Performance Software-based CRC Generators", 2005). */
void lw_crc_start(struct lw_crc *crc)
{
    crc->now = 0;
    for (uint32_t i = 0; i < 256; i++) {
        uint32_t rest = i;

        for (int k = 0; k < 8; k++)
            rest = rest >> 1 ^ (rest & 1 ? POLYNOMIAL : 0);
        crc->table[0][i] = rest;
    }
    for (int k = 1; k < 16; k++)
        for (int i = 0; i < 256; i++) {
            uint32_t before = crc->table[k - 1][i];

            crc->table[k][i] = before >> 8 ^ crc->table[0][before & 0xff];
        }
}

static uint32_t four(const unsigned char *p)
{
    return (uint32_t)p[0] | (uint32_t)p[1] << 8 | (uint32_t)p[2] << 16 | (uint32_t)p[3] << 24;
}

/* What four bytes do to the remainder when `after` more follow them. */
static uint32_t through(const struct lw_crc *crc, int after, uint32_t word)
{
    return crc->table[after + 3][word & 0xff] ^ crc->table[after + 2][word >> 8 & 0xff] ^
           crc->table[after + 1][word >> 16 & 0xff] ^ crc->table[after][word >> 24];
}

void lw_crc_add(struct lw_crc *crc, const void *data, size_t n)
{
    const unsigned char *p = data;
    uint32_t now = ~crc->now;

    for (; n >= 16; n -= 16, p += 16)
        now = through(crc, 12, four(p) ^ now) ^ through(crc, 8, four(p + 4)) ^
              through(crc, 4, four(p + 8)) ^ through(crc, 0, four(p + 12));
    for (; n > 0; n--, p++)
        now = now >> 8 ^ crc->table[0][(now ^ *p) & 0xff];
    crc->now = ~now;
}
