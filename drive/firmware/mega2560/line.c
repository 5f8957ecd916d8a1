/* USART 2. The first one is left to USB: opening that port restarts the board. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "board.h"
#include "pins.h"

enum { RING = 64, SPOIL = 0x55 };

static volatile uint8_t ring[RING], put_at, last_ms, deaf, sending;
static uint8_t get_at;
static const uint8_t *out;
static uint16_t left;

ISR(USART2_RX_vect)
{
    const uint8_t status = UCSR2A;
    uint8_t byte = UDR2;
    if (deaf != 0U) {
        return;
    }
    /* A character that came damaged, or after a lost one, is spoilt for good: so the CRC refuses its frame. */
    if ((status & (_BV(FE2) | _BV(DOR2) | _BV(UPE2))) != 0U) {
        byte = (uint8_t)(byte ^ SPOIL);
    }
    const uint8_t next = (uint8_t)((put_at + 1U) % RING);
    if (next != get_at) {
        ring[put_at] = byte;
        put_at = next;
    } else {
        const uint8_t newest = (uint8_t)((put_at + RING - 1U) % RING);
        ring[newest] = (uint8_t)(ring[newest] ^ SPOIL);
    }
    last_ms = clock_now();
}

ISR(USART2_UDRE_vect)
{
    UDR2 = *out;
    out++;
    left--;
    if (left == 0U) {
        /* Only now: the flag stands from a gap before, or from the character before in an emulator. A one clears it.
         */
        UCSR2B = (uint8_t)((UCSR2B & (uint8_t)~_BV(UDRIE2)) | _BV(TXCIE2));
        UCSR2A = (uint8_t)(_BV(U2X2) | _BV(TXC2));
    }
}

ISR(USART2_TX_vect)
{
    set_LINE_DE(false);
    UCSR2B = (uint8_t)(UCSR2B & (uint8_t)~_BV(TXCIE2));
    deaf = 0;
    sending = 0;
}

void line_start(const struct station *s)
{
    static const uint8_t formats[3] = {_BV(USBS2), _BV(UPM21) | _BV(UPM20), _BV(UPM21)};
    const uint32_t baud = s->baud[0];
    UCSR2C = (uint8_t)(formats[s->parity[0]] | _BV(UCSZ21) | _BV(UCSZ20));
    UCSR2A = _BV(U2X2);
    UBRR2 = (uint16_t)((F_CPU + 4UL * baud) / (8UL * baud) - 1UL);
    UCSR2B = _BV(RXEN2) | _BV(TXEN2) | _BV(RXCIE2);
}

bool line_get(uint8_t *byte)
{
    if (get_at == put_at) {
        return false;
    }
    *byte = ring[get_at];
    get_at = (uint8_t)((get_at + 1U) % RING);
    return true;
}

uint8_t line_quiet_ms(void)
{
    const uint8_t last = last_ms; /* first: a byte that comes between the two must not be of the future */
    return (uint8_t)(clock_now() - last);
}

void line_deafen(void)
{
    deaf = 1;
    get_at = put_at;
}

bool line_busy(void) { return sending != 0U; }

void line_send(const uint8_t *bytes, uint16_t n)
{
    out = bytes;
    left = n;
    sending = 1;
    set_LINE_DE(true);
    UCSR2B = (uint8_t)(UCSR2B | _BV(UDRIE2));
}
