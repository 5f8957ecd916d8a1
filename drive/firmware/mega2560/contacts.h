/* What levels of pins mean. One rule: what holds the dish back is true while its contact is open, what drives it or
 * lets it go is true while its contact is closed to ground. So a cut wire never moves anything. */
#ifndef CONTACTS_H
#define CONTACTS_H

#include "../core/core.h"
#include "pins.h"

/* Port C as it is sampled: tracks and marks of both axes. Port B as it is sampled: the ends and the stop circuit. */
typedef char tracks_stand_as_they_are_taken_apart[BIT_AZ_A == 0 && BIT_AZ_B == 1 && BIT_EL_A == 2 && BIT_EL_B == 3 &&
                                                          BIT_AZ_MARK == 4 && BIT_EL_MARK == 5
                                                      ? 1
                                                      : -1];

/* What the decoder of an axis is shown of port C; flip has ENCODER_MARK where a closed contact is the mark. */
static inline uint8_t tracks_azimuth(uint8_t c, uint8_t flip)
{
    return (uint8_t)(((c & 3U) | ((c >> 2) & 4U)) ^ flip);
}
static inline uint8_t tracks_elevation(uint8_t c, uint8_t flip)
{
    return (uint8_t)((((c >> 2) & 3U) | ((c >> 3) & 4U)) ^ flip);
}

static inline uint8_t mark_flip(const struct station *s)
{
    return s->mark_inverted[0] != 0U ? 0U : (uint8_t)ENCODER_MARK;
}

/* The inputs of port B of which any, going high, must end a drive of that sign. */
static inline uint8_t guard_of(uint8_t axis, int16_t drive)
{
    const uint8_t stop = 1U << BIT_STOP;
    if (drive == 0) {
        return 0;
    }
    if (axis == AZIMUTH) {
        return (uint8_t)(stop | (1U << (drive > 0 ? BIT_AZ_CLOCKWISE : BIT_AZ_COUNTER)));
    }
    return (uint8_t)(stop | (1U << (drive > 0 ? BIT_EL_UPPER : BIT_EL_LOWER)));
}

/* Cycles out of 800 for which a bridge is on. */
static inline uint16_t duty_of(int16_t drive)
{
    const uint16_t size = (uint16_t)(drive < 0 ? -drive : drive);
    return (uint16_t)(size * 2U / 25U);
}

/* Bits as in register 0020. */
static inline uint16_t state_of_contacts(const struct station *s)
{
    const bool mark = s->mark_inverted[0] != 0U, fault = s->fault_inverted[0] != 0U;
    uint16_t state = 0;
#define STATE(condition, bit) state = (uint16_t)(state | ((condition) ? (1U << (bit)) : 0U))
    STATE(high_HAND(), 2);
    STATE(high_STOP(), 3);
    STATE(high_AZ_CLOCKWISE(), 4);
    STATE(high_AZ_COUNTER(), 5);
    STATE(high_EL_UPPER(), 6);
    STATE(high_EL_LOWER(), 7);
    STATE(high_AZ_FAULT() != fault, 8);
    STATE(high_EL_FAULT() != fault, 9);
    STATE(high_KEYED() == (s->keyed_inverted[0] != 0U), 10);
    STATE(high_DOOR() != (s->door_inverted[0] != 0U), 11);
    STATE(high_AZ_MARK() == mark, 12);
    STATE(high_EL_MARK() == mark, 13);
#undef STATE
    return state;
}

static inline uint8_t other_contacts(void)
{
    return (uint8_t)((high_SUPPLY() ? 0U : CONTACT_SUPPLY) | (high_READY() ? 0U : CONTACT_READY) |
                     (high_WIND() ? 0U : CONTACT_WIND) | (high_FLOW() ? 0U : CONTACT_FLOW) |
                     (high_SEQUENCER_0() ? 0U : CONTACT_SEQUENCER) |
                     (high_SEQUENCER_1() ? 0U : 2U * CONTACT_SEQUENCER) |
                     (high_SEQUENCER_BAD() ? 0U : CONTACT_FAULT) | (high_SDA() ? CONTACT_SDA : 0U));
}

static inline uint8_t hand_buttons(void)
{
    return (uint8_t)((high_HAND_CLOCKWISE() ? 0U : 1U) | (high_HAND_COUNTER() ? 0U : 2U) |
                     (high_HAND_UP() ? 0U : 4U) | (high_HAND_DOWN() ? 0U : 8U));
}

/* Everything that needs no timer. */
static inline void set_outputs(const struct done *d)
{
    set_CONTACTOR(d->contactor);
    set_PERMIT(d->permit);
    set_WARNING(d->warning);
    set_AZ_BRAKE(d->released[AZIMUTH]);
    set_EL_BRAKE(d->released[ELEVATION]);
    set_NOISE_SOURCE((d->outputs & 1U) != 0U);
    set_PREAMPLIFIER((d->outputs & 2U) != 0U);
    set_FEED_HEATER((d->outputs & 4U) != 0U);
    set_LIGHT((d->outputs & 8U) != 0U);
    set_BAND_0((d->band & 1U) != 0U);
    set_BAND_1((d->band & 2U) != 0U);
    set_BAND_2((d->band & 4U) != 0U);
    set_BAND_3((d->band & 8U) != 0U);
}

#endif
