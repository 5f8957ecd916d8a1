#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "board.h"

/* Conversions follow each other without a pause, 9615 a second: the detector at every second one, each current at
 * every sixth, then one of the others. */
enum { DETECTOR = 2, REFERENCE = 30, FIRST_INPUT = 3, TURN = 6 };

static volatile uint16_t current[AXES], others[INPUTS + 1], noise_sum;
static volatile uint8_t noise_count;
static uint8_t turn, other, settled;

static void select_channel(uint8_t channel)
{
    ADMUX = (uint8_t)(_BV(REFS0) | (channel == REFERENCE ? 0x1EU : channel & 7U));
    ADCSRB = channel >= 8U && channel != REFERENCE ? _BV(MUX5) : 0U;
}

ISR(ADC_vect)
{
    const uint16_t value = ADC;
    if ((turn & 1U) == 0U) {
        noise_sum = (uint16_t)(noise_sum + value);
        noise_count++;
    } else if (turn == 1U) {
        current[AZIMUTH] = value;
    } else if (turn == 3U) {
        current[ELEVATION] = value;
    } else if (other == INPUTS && settled == 0U) {
        settled = 1; /* the reference needs longer than a conversion after it is chosen: the second one counts */
        ADCSRA = (uint8_t)(ADCSRA | _BV(ADSC));
        return;
    } else {
        others[other] = value;
        other = (uint8_t)(other == INPUTS ? 0 : other + 1);
        settled = 0;
    }
    turn = (uint8_t)(turn == TURN - 1 ? 0 : turn + 1);
    if ((turn & 1U) == 0U) {
        select_channel(DETECTOR);
    } else if (turn < 5U) {
        select_channel((uint8_t)(turn / 2U)); /* a current */
    } else {
        select_channel((uint8_t)(other == INPUTS ? REFERENCE : FIRST_INPUT + other));
    }
    ADCSRA = (uint8_t)(ADCSRA | _BV(ADSC));
}

void converter_start(void)
{
    DIDR0 = 0xFF; /* no digital buffers on these pins */
    DIDR2 = 0x3F;
    select_channel(DETECTOR);
    ADCSRA = _BV(ADEN) | _BV(ADIE) | _BV(ADSC) | 7U; /* 125 kHz */
}

void converter_take(struct seen *seen)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        seen->noise_sum = noise_sum;
        seen->noise_count = noise_count;
        noise_sum = 0;
        noise_count = 0;
        seen->current[AZIMUTH] = current[AZIMUTH];
        seen->current[ELEVATION] = current[ELEVATION];
    }
    for (uint8_t i = 0; i < INPUTS; i++) {
        ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { seen->input[i] = others[i]; }
    }
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { seen->reference = others[INPUTS]; }
}
