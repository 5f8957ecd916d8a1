#include "frame.h"

#include <string.h>

static struct {
    uint8_t held[FRAME_MOST];
    uint16_t begin, end; /* what is held lies between them */
    uint16_t seen;       /* of what is held, so much was there at the last look */
    uint16_t bad;
    uint8_t unit;
    bool rubbish; /* the byte given up last belonged to a run of rubbish */
} line;

static const uint16_t remainders[16] = {
    0x0000, 0xCC01, 0xD801, 0x1400, 0xF001, 0x3C00, 0x2800, 0xE401,
    0xA001, 0x6C00, 0x7800, 0xB401, 0x5000, 0x9C01, 0x8801, 0x4400,
};

static uint16_t crc_add(uint16_t crc, uint8_t byte)
{
    crc = (uint16_t)(crc ^ byte);
    crc = (uint16_t)((crc >> 4) ^ remainders[crc & 15U]);
    return (uint16_t)((crc >> 4) ^ remainders[crc & 15U]);
}

uint16_t frame_crc(const uint8_t *p, uint16_t n)
{
    uint16_t crc = 0xFFFFU;
    for (; n != 0U; n--) {
        crc = crc_add(crc, *p++);
    }
    return crc;
}

void frame_start(uint8_t unit)
{
    memset(&line, 0, sizeof line);
    line.unit = unit;
}

void frame_forget(void) { line.begin = line.end = line.seen = 0; }

uint16_t frame_bad(void) { return line.bad; }

/* A run of rubbish counts once. */
static void give_up(uint16_t n)
{
    if (!line.rubbish) {
        line.bad++;
    }
    line.rubbish = true;
    line.begin = (uint16_t)(line.begin + n);
    line.seen = 0;
}

void frame_put(uint8_t byte)
{
    if (line.end == FRAME_MOST) {
        if (line.begin == 0U) {
            give_up(FRAME_MOST);
        }
        line.end = (uint16_t)(line.end - line.begin);
        memmove(line.held, line.held + line.begin, line.end);
        line.begin = 0;
    }
    line.held[line.end] = byte;
    line.end++;
}

enum { MORE = 0, UNKNOWN = 0xFFFF };

/* Length of a frame whose byte count stands at a place. */
static uint16_t counted(const uint8_t *p, uint16_t n, uint16_t at)
{
    return n <= at ? (uint16_t)MORE : (uint16_t)(at + 3U + p[at]);
}

static uint16_t request_length(const uint8_t *p, uint16_t n)
{
    switch (p[1]) {
    case READ_HOLDING:
    case READ_INPUT:
    case WRITE_ONE: return 8;
    case WRITE_MANY: return counted(p, n, 6);
    case READ_WRITE: return counted(p, n, 10);
    default: return UNKNOWN;
    }
}

/* Of another unit replies are heard as well. */
static uint16_t reply_length(const uint8_t *p, uint16_t n)
{
    if ((p[1] & 0x80U) != 0U) {
        return 5;
    }
    switch (p[1]) {
    case READ_HOLDING:
    case READ_INPUT:
    case READ_WRITE: return counted(p, n, 2);
    case WRITE_ONE:
    case WRITE_MANY: return 8;
    default: return UNKNOWN;
    }
}

/* The CRC of a frame together with its own CRC is 0: so a frame of a function that isn't known shows its end. */
static uint16_t any_length(const uint8_t *p, uint16_t n)
{
    uint16_t crc = 0xFFFFU;
    for (uint16_t i = 0; i < n; i++) {
        crc = crc_add(crc, p[i]);
        if (crc == 0U && i >= 3U) {
            return (uint16_t)(i + 1U);
        }
    }
    return n < FRAME_MOST ? (uint16_t)MORE : (uint16_t)UNKNOWN;
}

/* Length of the good frame that p begins with; MORE where more input could still make one, else UNKNOWN. */
static uint16_t good_length(const uint8_t *p, uint16_t n)
{
    if (n < 2U) {
        return MORE;
    }
    uint16_t length[2] = {request_length(p, n), UNKNOWN};
    if (p[0] != line.unit && p[0] != 0U) {
        length[1] = reply_length(p, n);
    }
    if (length[0] == UNKNOWN && length[1] == UNKNOWN) {
        return any_length(p, n);
    }
    uint16_t result = UNKNOWN;
    for (uint8_t i = 0; i < 2U; i++) {
        if (length[i] > FRAME_MOST) { /* UNKNOWN as well */
            continue;
        }
        if (length[i] == MORE || length[i] > n) {
            result = MORE;
        } else if (frame_crc(p, length[i]) == 0U) {
            return length[i];
        } else {
            /* its CRC is wrong */
        }
    }
    return result;
}

/* Where behind the first byte a whole request to this unit has become complete since the last look; 0 for nowhere. */
static uint16_t request_behind(const uint8_t *p, uint16_t n)
{
    for (uint16_t i = 1; (uint16_t)(i + 4U) <= n; i++) {
        if (p[i] != line.unit) {
            continue;
        }
        const uint16_t rest = (uint16_t)(n - i), length = request_length(p + i, rest);
        if (length != MORE && length <= rest && (uint16_t)(length + i) > line.seen &&
            frame_crc(p + i, length) == 0U) {
            return i;
        }
    }
    return 0;
}

enum look frame_look(uint8_t quiet_ms, const uint8_t **request, uint16_t *length)
{
    if (line.begin == line.end) {
        line.begin = line.end = line.seen = 0;
        return LOOK_WAITS;
    }
    const uint8_t *p = line.held + line.begin;
    const uint16_t n = (uint16_t)(line.end - line.begin), good = good_length(p, n);
    if (good != MORE && good != UNKNOWN) {
        line.begin = (uint16_t)(line.begin + good);
        line.seen = 0;
        line.rubbish = false;
        *request = p;
        *length = good;
        return p[0] == line.unit ? LOOK_REQUEST : LOOK_AGAIN;
    }
    if (good == UNKNOWN || quiet_ms >= FRAME_UNFINISHED_MS) {
        give_up(1);
        return LOOK_AGAIN;
    }
    /* What waits for more may be rubbish that only looks like a frame. */
    const uint16_t behind = request_behind(p, n);
    line.seen = n;
    if (behind == 0U) {
        return LOOK_WAITS;
    }
    give_up(behind);
    return LOOK_AGAIN;
}
