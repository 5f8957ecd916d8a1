#include "station.h"

#include <stddef.h>
#include <string.h>

#include "frame.h"

/* No compiler may leave a hole: the panel counts on the rows standing end to end. */
typedef char rows_stand_end_to_end
    [sizeof(struct station) == (STATION_SIZE + 3) / 4 * 4 || sizeof(struct station) == STATION_SIZE ? 1 : -1];

enum { SEQUENCE_COPY = 0x58 };

/* Within its range, for each row. The loop is over one value at a time, so that the types need no care. */
static bool in_range(const struct station *s)
{
    bool good = true;
#define ROW(type, name, count, least, most, ...)                                                                     \
    for (uint8_t i = 0; i < (count); i++) {                                                                          \
        const int32_t v = (int32_t)s->name[i];                                                                       \
        good = good && v >= (int32_t)(least) && v <= (int32_t)(most);                                                \
    }
#include "station.def"
#undef ROW
    for (uint8_t i = 0; i < INPUTS; i++) {
        const uint8_t r = s->input_reading[i];
        good = good && (r == 0U || r >= 0x40U) && r != SEQUENCE_COPY;
    }
    return good;
}

void station_default(struct station *s)
{
    static const struct station usual = {
#define ROW(type, name, count, least, most, unit, words, ...) .name = {__VA_ARGS__},
#include "station.def"
#undef ROW
    };
    *s = usual;
}

bool station_take(struct station *s, const struct station_block *b)
{
    const uint16_t crc = frame_crc((const uint8_t *)&b->version, (uint16_t)(offsetof(struct station_block, crc) -
                                                                            offsetof(struct station_block, version)));
    if (b->version == STATION_VERSION && b->size == STATION_SIZE && b->crc == crc) {
        memcpy(s, b->table, STATION_SIZE);
        if (in_range(s)) {
            return true;
        }
    }
    memset(s, 0, sizeof *s);
    s->baud[0] = 19200;
    s->unit[0] = 1;
    s->parity[0] = 2;
    s->ramp_ms[AZIMUTH] = s->ramp_ms[ELEVATION] = 1000;
    return false;
}

uint16_t station_fitted(const struct station *s)
{
    const uint8_t bits[16] = {
        s->axis[AZIMUTH],
        s->axis[ELEVATION],
        s->hand_panel[0],
        s->wind_sensor[0],
        s->detector[0],
        s->transmit_gate[0],
        s->amplifier[0],
        0,
        0,
        0,
        s->marks[0],
        s->band_switch[0],
        0,
        s->brakes[0],
        s->warning[0],
        0,
    };
    uint16_t fitted = 0;
    for (uint8_t i = 0; i < 16U; i++) {
        fitted = (uint16_t)(fitted | (uint16_t)(bits[i] << i));
    }
    return fitted;
}
