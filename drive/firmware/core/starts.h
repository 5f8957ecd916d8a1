/* The start counter, kept without power so that it only ever rises: the panel trusts a kept position by it. */
#ifndef STARTS_H
#define STARTS_H

#include <stdbool.h>
#include <stdint.h>

enum {
    STARTS_SLOTS = 32, /* records in turn: each cell is written once in as many starts */
    STARTS_FROM = 16,  /* the first cells are the ones that a failing supply spoils most */
    STARTS_RECORD = 4
};

/* What the board gives: cells that keep without power. A write returns when it is done. */
uint8_t store_read(uint16_t cell);
void store_write(uint16_t cell, uint8_t value);

/* Counts this start. False where no record could be written: the number can't be told from that of another start. */
bool starts_next(uint16_t *starts);

#endif
