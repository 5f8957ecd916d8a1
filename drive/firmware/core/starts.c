#include "starts.h"

/* A record is the number and its complement. A write that power cuts short leaves a record that doesn't count, in a
 * place that held an old one; the newest stays whole. The number goes round, so records are compared by their
 * difference. */

static uint16_t cell_of(uint8_t slot) { return (uint16_t)(STARTS_FROM + STARTS_RECORD * slot); }

static bool record(uint8_t slot, uint16_t *number)
{
    const uint16_t cell = cell_of(slot);
    *number = (uint16_t)(store_read(cell) | (uint16_t)(store_read((uint16_t)(cell + 1U)) << 8));
    const uint16_t complement =
        (uint16_t)(store_read((uint16_t)(cell + 2U)) | (uint16_t)(store_read((uint16_t)(cell + 3U)) << 8));
    return (uint16_t)(*number ^ complement) == 0xFFFFU;
}

static bool keep(uint8_t slot, uint16_t number)
{
    const uint16_t cell = cell_of(slot), complement = (uint16_t)~number;
    uint16_t back;
    /* The complement first: until the last byte is in, the record doesn't count. */
    store_write((uint16_t)(cell + 2U), (uint8_t)complement);
    store_write((uint16_t)(cell + 3U), (uint8_t)(complement >> 8));
    store_write(cell, (uint8_t)number);
    store_write((uint16_t)(cell + 1U), (uint8_t)(number >> 8));
    return record(slot, &back) && back == number;
}

bool starts_next(uint16_t *starts)
{
    uint16_t newest = 0, number;
    uint8_t slot = STARTS_SLOTS - 1;
    bool any = false;
    for (uint8_t i = 0; i < STARTS_SLOTS; i++) {
        if (record(i, &number) && (!any || (int16_t)(number - newest) > 0)) {
            newest = number;
            slot = i;
            any = true;
        }
    }
    newest++;
    *starts = newest;
    /* A worn cell is passed over; the newest record itself is never written over. */
    for (uint8_t i = 1; i < STARTS_SLOTS; i++) {
        if (keep((uint8_t)((slot + i) % STARTS_SLOTS), newest)) {
            return true;
        }
    }
    return false;
}
