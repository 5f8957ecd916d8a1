/* The EEPROM, a cell at a time. */
#include <avr/io.h>
#include <util/atomic.h>

#include "../core/starts.h"

static void await(void)
{
    /* 3.4 ms by the data sheet; bounded at about 20 ms, for a broken chip must come to answer as well. */
    for (uint16_t i = 0; (EECR & _BV(EEPE)) != 0U && i < 40000U; i++) {}
}

uint8_t store_read(uint16_t cell)
{
    await();
    EEAR = cell;
    EECR = (uint8_t)(EECR | _BV(EERE));
    return EEDR;
}

void store_write(uint16_t cell, uint8_t value)
{
    if (store_read(cell) == value) {
        return; /* a cell that isn't written doesn't wear */
    }
    EEAR = cell;
    EEDR = value;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        EECR = (uint8_t)((EECR & (uint8_t) ~(_BV(EEPM1) | _BV(EEPM0))) | _BV(EEMPE));
        EECR = (uint8_t)(EECR | _BV(EEPE));
    }
    await();
}
