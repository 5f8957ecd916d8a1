#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "board.h"
#include "contacts.h"

enum { PERIOD = 800 }; /* cycles of 62.5 ns: 20 kHz */

static struct encoder encoders[AXES];
static uint8_t flip, was_c;
static volatile uint8_t guard[AXES];

/* Takes an axis' drive away, whatever the loop is doing. */
static inline void cut_azimuth(void)
{
    TCCR1A = (uint8_t)(TCCR1A & (uint8_t)~_BV(COM1A1));
    set_AZ_PWM(false);
    set_AZ_ENABLE(false);
}

static inline void cut_elevation(void)
{
    TCCR1A = (uint8_t)(TCCR1A & (uint8_t)~_BV(COM1B1));
    set_EL_PWM(false);
    set_EL_ENABLE(false);
}

/* 20000 times a second. An encoder line that chatters costs no more than one that counts. */
ISR(TIMER1_OVF_vect)
{
    const uint8_t b = PINB, c = PINC;
    if ((b & guard[AZIMUTH]) != 0U) {
        cut_azimuth();
    }
    if ((b & guard[ELEVATION]) != 0U) {
        cut_elevation();
    }
    if (c != was_c) {
        was_c = c;
        encoder_look(&encoders[AZIMUTH], tracks_azimuth(c, flip));
        encoder_look(&encoders[ELEVATION], tracks_elevation(c, flip));
    }
}

void bridges_start(const struct station *s)
{
    flip = mark_flip(s);
    was_c = PINC;
    encoders[AZIMUTH].was = tracks_azimuth(was_c, flip);
    encoders[ELEVATION].was = tracks_elevation(was_c, flip);
    ICR1 = PERIOD - 1;
    TCCR1A = _BV(WGM11); /* mode 14: fast PWM up to ICR1, pins disconnected */
    TCCR1B = _BV(WGM13) | _BV(WGM12) | _BV(CS10);
    TIMSK1 = _BV(TOIE1);
}

static void apply_azimuth(const struct station *s, const struct done *d)
{
    const int16_t drive = d->applied[AZIMUTH];
    const uint16_t duty = duty_of(drive);
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        guard[AZIMUTH] = guard_of(AZIMUTH, drive);
        if (drive == 0 || (PINB & guard[AZIMUTH]) != 0U) {
            cut_azimuth();
        } else {
            set_AZ_SENSE((drive < 0) != (s->reversed[AZIMUTH] != 0U));
            set_AZ_ENABLE(true);
            if (s->speeds[AZIMUTH] != 0U) {
                set_AZ_PWM(((d->speed[AZIMUTH] - 1U) & 1U) != 0U);
                set_AZ_SPEED(((d->speed[AZIMUTH] - 1U) & 2U) != 0U);
            } else if (duty != 0U) {
                OCR1A = (uint16_t)(duty - 1U);
                TCCR1A = (uint8_t)(TCCR1A | _BV(COM1A1));
            } else { /* 0 would still be a cycle wide */
                TCCR1A = (uint8_t)(TCCR1A & (uint8_t)~_BV(COM1A1));
            }
        }
    }
}

static void apply_elevation(const struct station *s, const struct done *d)
{
    const int16_t drive = d->applied[ELEVATION];
    const uint16_t duty = duty_of(drive);
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        guard[ELEVATION] = guard_of(ELEVATION, drive);
        if (drive == 0 || (PINB & guard[ELEVATION]) != 0U) {
            cut_elevation();
        } else {
            set_EL_SENSE((drive < 0) != (s->reversed[ELEVATION] != 0U));
            set_EL_ENABLE(true);
            if (s->speeds[ELEVATION] != 0U) {
                set_EL_PWM(((d->speed[ELEVATION] - 1U) & 1U) != 0U);
                set_EL_SPEED(((d->speed[ELEVATION] - 1U) & 2U) != 0U);
            } else if (duty != 0U) {
                OCR1B = (uint16_t)(duty - 1U);
                TCCR1A = (uint8_t)(TCCR1A | _BV(COM1B1));
            } else {
                TCCR1A = (uint8_t)(TCCR1A & (uint8_t)~_BV(COM1B1));
            }
        }
    }
}

void bridges_apply(const struct station *s, const struct done *done)
{
    apply_azimuth(s, done);
    apply_elevation(s, done);
}

void bridges_encoders(struct encoder seen[AXES])
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        seen[AZIMUTH] = encoders[AZIMUTH];
        seen[ELEVATION] = encoders[ELEVATION];
    }
}
