/* What passes between the tests and a body: the emulated chip, or the core alone. Both speak the same over their
 * standard input and output, little-endian, each field at its natural place. Every message in is answered by one out.
 */
#ifndef BODY_H
#define BODY_H

#include <stddef.h>
#include <stdint.h>

enum { BODY_VERSION = 1, BODY_PORTS = 12, BODY_SENT = 64, BODY_EEPROM = 4096, BODY_VECTORS = 57, HERTZ = 16000000 };

enum body_order {
    BODY_STEP = 1, /* events follow */
    BODY_RESET,    /* value: as MCUSR has it, 1 power, 2 pin, 4 brown-out, 8 watchdog */
    BODY_KEEP,     /* BODY_EEPROM bytes follow, and are what is kept without power */
    BODY_KEPT,     /* they follow the answer */
    BODY_FILL,     /* value: seed of what the RAM holds at a start */
    BODY_HANG,     /* value: 1 with interrupts, 2 without: the program goes round in one place */
    BODY_PAINT,    /* marks the RAM below the stack, to see later how deep it went */
    BODY_MEASURED  /* a struct body_measured follows the answer */
};

struct body_in {
    uint32_t order, value; /* of a step: its length in cycles */
    uint32_t events;
    uint16_t millivolts[16]; /* analog inputs */
};

enum body_kind { BODY_PIN, BODY_BYTE };

struct body_event {
    uint32_t at; /* cycles from the beginning of the step, rising */
    uint8_t kind;
    uint8_t port; /* 0 for A */
    uint8_t bit;
    uint8_t unused;
    uint16_t value; /* level of a pin; a byte that begins, with 0x8000 where its stop bit, 0x4000 where its parity is
                       wrong */
    uint16_t unused_too;
};

struct body_out {
    uint64_t cycle, slept;
    uint32_t version, state;                       /* 0 going on, 1 stopped, 2 crashed */
    uint32_t resets;                               /* by the chip itself */
    uint32_t overrun;                              /* bytes that a receiver of two would have lost */
    uint32_t character;                            /* cycles of one on the line, as the program has set it */
    uint16_t duty[2];                              /* cycles on in a period; 0 while the pin isn't the timer's */
    uint16_t period, sent;                         /* sent: how many bytes began in this step */
    uint8_t level[BODY_PORTS], output[BODY_PORTS]; /* of pins that are outputs; which those are */
    uint8_t bytes[BODY_SENT], driven[BODY_SENT];   /* driven: the transceiver was on */
    uint32_t unused;
    uint64_t sent_at[BODY_SENT]; /* cycle at which each began */
    uint64_t released;           /* cycle at which the transceiver was last let go */
};

struct body_measured {
    struct {
        uint64_t longest, total, count, waited; /* cycles; waited: the longest from raised to begun */
    } vector[BODY_VECTORS];
    uint32_t stack; /* bytes of the stack that were used since BODY_PAINT, at most 2048 */
    uint32_t unused;
};

/* Moves all of it, or says 0. */
int body_read(void *p, size_t n);
int body_write(const void *p, size_t n);

#endif
