/* The enclosure: what it does by itself and what it answers, without any hardware in it. The handbook's page of
 * registers says what each number means.
 *
 * Everything here is called from one loop. Nothing waits, and nothing is called back. */
#ifndef CORE_H
#define CORE_H

#include <stdbool.h>
#include <stdint.h>

#include "encoder.h"
#include "station.h"

enum { FIRMWARE_REVISION = 0x0100, FULL_DRIVE = 10000, NOT_FITTED = -32768 };

/* Bits of register 0020, as far as they are seen from outside. */
enum {
    STATE_POWER = 0x0001,
    STATE_HAND = 0x0004,
    STATE_STOP = 0x0008,
    STATE_UPPER = 0x0010, /* of azimuth; each further axis two bits higher */
    STATE_LOWER = 0x0020,
    STATE_FAULT = 0x0100, /* of azimuth; each further axis one bit higher, as with the mark */
    STATE_KEYED = 0x0400,
    STATE_DOOR = 0x0800,
    STATE_MARK = 0x1000
};

/* Contacts that have no bit in a register. */
enum {
    CONTACT_SUPPLY = 0x01, /* drive power is there, behind the contactor */
    CONTACT_READY = 0x02,  /* the drive supply is there, before it */
    CONTACT_WIND = 0x04,
    CONTACT_FLOW = 0x08,
    CONTACT_SEQUENCER = 0x10, /* three bits: 0 to 3, and the fault */
    CONTACT_FAULT = 0x40,
    CONTACT_SDA = 0x80
};

/* What is seen at a tick. */
struct seen {
    struct encoder encoder[AXES];
    uint16_t state;
    uint8_t contacts;
    uint8_t hand;           /* buttons: azimuth +, azimuth -, elevation +, elevation - */
    uint16_t current[AXES]; /* steps of the converter, 0 to 1023, as the inputs and the reference */
    uint16_t input[INPUTS];
    uint16_t reference;
    uint16_t noise_sum;  /* of the detector's conversions since the last tick, */
    uint8_t noise_count; /* at most 60 of them */
};

/* What is done. */
struct done {
    int16_t applied[AXES]; /* -FULL_DRIVE to FULL_DRIVE */
    uint8_t speed[AXES];   /* with fixed speeds: the one applied, 0 for none */
    bool contactor, permit, warning;
    bool released[AXES]; /* brakes */
    uint8_t outputs, band;
    bool scl_low, sda_low; /* of the I2C pair */
};

/* One start. The counter is the number of this start; counts that can't be told from those of an earlier start, for
 * the counter couldn't be written, must not be trusted: then nothing counts as fitted. */
void core_start(const struct station *s, uint16_t starts, bool counter_kept);

/* One millisecond. */
void core_tick(const struct seen *seen, struct done *done);

/* Answers a whole request to this unit, CRC included, and lets it take effect; done is what it came to. Returns the
 * length of the reply, CRC included. reply has room for FRAME_MOST. */
uint16_t core_answer(const uint8_t *request, uint16_t length, uint8_t *reply, struct done *done);

/* How long after a request its reply begins, in whole milliseconds passed. */
uint8_t core_reply_ms(void);

#endif
