/* The station's table, as it stands in the image: see station.def. */
#ifndef STATION_H
#define STATION_H

#include <stdbool.h>
#include <stdint.h>

enum { AZIMUTH, ELEVATION, AXES, INPUTS = 11, TABLE_POINTS = 17 };

struct station {
#define ROW(type, name, count, least, most, unit, words, ...) type name[count];
#include "station.def"
#undef ROW
};

enum {
    STATION_VERSION = 1,
    STATION_SIZE = 0
#define ROW(type, name, count, ...) +(int)sizeof(type) * (count)
#include "station.def"
#undef ROW
};

/* What is in the image: a mark by which the panel finds the table, the table's version and size, the table, and the
 * CRC of all three after the mark, as the line's. */
struct station_block {
    uint8_t mark[8];
    uint16_t version, size;
    uint8_t table[STATION_SIZE];
    uint16_t crc;
};

/* Takes a table over. False where it is damaged, of another version or holds a value out of range; then nothing
 * counts as fitted, so that nothing can move, and the line has its default. */
bool station_take(struct station *s, const struct station_block *b);

/* The table that the image is built with. */
void station_default(struct station *s);

/* Bits of register 0001. */
uint16_t station_fitted(const struct station *s);

#endif
