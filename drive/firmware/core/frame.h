/* Frames of MODBUS RTU: their check, and the finding of requests in what comes in. */
#ifndef FRAME_H
#define FRAME_H

#include <stdbool.h>
#include <stdint.h>

enum { FRAME_MOST = 256, FRAME_UNFINISHED_MS = 20 };

/* CRC of the standard (MODBUS over Serial Line V1.02): reflected polynomial A001 from FFFF, low byte sent first. */
uint16_t frame_crc(const uint8_t *p, uint16_t n);

enum function { READ_HOLDING = 3, READ_INPUT = 4, WRITE_ONE = 6, WRITE_MANY = 16, READ_WRITE = 23 };

/* What looking came to. */
enum look {
    LOOK_WAITS,  /* nothing to do before more comes */
    LOOK_AGAIN,  /* something was given up or passed over: look again */
    LOOK_REQUEST /* a whole request to this unit */
};

/* A register as it goes over the line, high byte first. */
static inline uint16_t frame_word(const uint8_t *p) { return (uint16_t)((uint16_t)((uint16_t)p[0] << 8) | p[1]); }

void frame_start(uint8_t unit);
void frame_put(uint8_t byte);
/* Looks at one place only, so that its time is bounded. quiet_ms is the time since the last byte. A request found
 * stays where it is until the next frame_put. */
enum look frame_look(uint8_t quiet_ms, const uint8_t **request, uint16_t *length);
/* Gives up what is held. */
void frame_forget(void);
/* Runs of input that were no frame. */
uint16_t frame_bad(void);

#endif
