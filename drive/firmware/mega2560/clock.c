#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <util/atomic.h>

#include "board.h"

static volatile uint8_t now, due;

ISR(TIMER2_COMPA_vect)
{
    now++;
    due++;
}

void clock_start(void)
{
    OCR2A = 249; /* 16 MHz / 64 / 250 */
    TCCR2A = _BV(WGM21);
    TCCR2B = _BV(CS22);
    TIMSK2 = _BV(OCIE2A);
    SMCR = 0; /* idle: the timers go on */
}

uint8_t clock_now(void) { return now; }

bool clock_idle(void)
{
    cli();
    if (due != 0U) {
        due--;
        sei();
        return true;
    }
    /* The instruction after sei is carried out before any interrupt: none is slept through. */
    SMCR = _BV(SE);
    sei();
    sleep_cpu();
    SMCR = 0;
    return false;
}
