/* The parts of the board layer. Each touches its own registers alone. */
#ifndef BOARD_H
#define BOARD_H

#include "../core/core.h"
#include "../core/serve.h"

/* start.c: why the chip has started, as MCUSR had it */
extern uint8_t start_cause;

/* clock.c: the millisecond */
void clock_start(void);
uint8_t clock_now(void); /* milliseconds, going round */
bool clock_idle(void);   /* sleeps until an interrupt unless a tick is due, which it says */

/* bridges.c: PWM and relays of both axes, and the sampling of encoders and ends at the same 20 kHz */
void bridges_start(const struct station *s);
void bridges_apply(const struct station *s, const struct done *done);
void bridges_encoders(struct encoder seen[AXES]);

/* converter.c */
void converter_start(void);
void converter_take(struct seen *seen);

/* line.c: what core/serve.h asks of a line */
void line_start(const struct station *s);

#endif
