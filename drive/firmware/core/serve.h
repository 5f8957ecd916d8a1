/* The way from bytes on the line to a reply on it. */
#ifndef SERVE_H
#define SERVE_H

#include <stdbool.h>
#include <stdint.h>

#include "core.h"

/* What the board gives. */
bool line_get(uint8_t *byte);
uint8_t line_quiet_ms(void); /* since the last byte came, going round */
void line_deafen(void);      /* ignores what comes in until the next line_send has ended */
/* Sends; what comes in meanwhile is ignored. The bytes must stay as they are until line_busy is false. */
void line_send(const uint8_t *bytes, uint16_t n);
bool line_busy(void);

/* Takes in what has come and sends what is due; ticked: a tick has just been made. True where a request has taken
 * effect: done is what it came to. Its time is bounded, whatever comes in. */
bool serve(bool ticked, struct done *done);

#endif
