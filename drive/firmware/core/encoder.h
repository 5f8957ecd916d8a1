/* Quadrature decoding, by looking at both tracks and the mark many times a second. */
#ifndef ENCODER_H
#define ENCODER_H

#include <stdbool.h>
#include <stdint.h>

enum { ENCODER_TRACKS = 3, ENCODER_MARK = 4 }; /* bits of what is seen */

struct encoder {
    uint8_t was;         /* what was seen last */
    uint8_t upward;      /* 1: the last count went up */
    uint8_t entries;     /* of the mark with rising counts, wrapping */
    uint16_t position;   /* counts, wrapping */
    uint16_t impossible; /* transitions of both tracks at once, wrapping */
    uint16_t at_mark;    /* position at the last entry */
};

/* Takes in what is seen now; the inline part is for the interrupt. */
static inline void encoder_look(struct encoder *e, uint8_t now)
{
    /* By the tracks before and now: 0 no change, 1 up, 3 down, 2 both at once. */
    static const uint8_t steps[16] = {0, 1, 3, 2, 3, 0, 2, 1, 1, 2, 0, 3, 2, 3, 1, 0};
    const uint8_t before = e->was, step = steps[(uint8_t)((before & ENCODER_TRACKS) << 2) | (now & ENCODER_TRACKS)];
    e->was = now;
    if (step == 1U) {
        e->position++;
        e->upward = 1;
    } else if (step == 3U) {
        e->position--;
        e->upward = 0;
    } else if (step == 2U) {
        e->impossible++;
    } else {
        /* only the mark has changed */
    }
    if ((now & (uint8_t)~before & ENCODER_MARK) != 0U && e->upward != 0U) {
        e->at_mark = e->position;
        e->entries++;
    }
}

#endif
