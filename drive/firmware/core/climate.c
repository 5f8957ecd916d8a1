/* The sensor of air and humidity on the I2C pair, one half of a bit a tick: nothing ever waits for it.
 *
 * It speaks the commands of the SHT3x family (address 44, single measurement without clock stretching 2400,
 * temperature -45 + 175 t/65535 C, humidity 100 h/65535 %, CRC-8 polynomial 31 from FF): from the maker's data sheet,
 * by memory. */
#include <string.h>

#include "frame.h"
#include "parts.h"

enum { ADDRESS = 0x44, MEASURING_MS = 25, REST_MS = 2000, FRESH_TURNS = 3 };

/* idle -> start -> bits -> stop -> idle */
enum phase { IDLE, START, BITS, STOP };

static struct {
    enum phase phase;
    uint16_t rest;         /* ticks to wait before the next start */
    bool reading;          /* this turn reads, the other kind commands */
    uint8_t half, bit, at; /* half of the clock, bit of the byte (8: acknowledge), byte */
    uint8_t bytes[7], count;
    bool scl_low, sda_low, failed;
    uint8_t age; /* turns since the last good measurement */
    int16_t air, humidity;
} wire;

void climate_start(void)
{
    memset(&wire, 0, sizeof wire);
    wire.rest = MEASURING_MS;
    wire.age = FRESH_TURNS;
}

bool climate_scl_low(void) { return wire.scl_low; }
bool climate_sda_low(void) { return wire.sda_low; }
int16_t climate_air(void) { return wire.age < FRESH_TURNS ? wire.air : (int16_t)NOT_FITTED; }
int16_t climate_humidity(void) { return wire.age < FRESH_TURNS ? wire.humidity : (int16_t)NOT_FITTED; }

static uint8_t crc8(const uint8_t *p)
{
    uint8_t crc = 0xFF;
    for (uint8_t i = 0; i < 2U; i++) {
        crc = (uint8_t)(crc ^ p[i]);
        for (uint8_t k = 0; k < 8U; k++) {
            crc = (uint8_t)((crc & 0x80U) != 0U ? (uint8_t)(crc << 1) ^ 0x31U : (uint8_t)(crc << 1));
        }
    }
    return crc;
}

static void begin(void)
{
    static const uint8_t command[3] = {ADDRESS << 1, 0x24, 0x00};
    memset(wire.bytes, 0, sizeof wire.bytes);
    wire.count = wire.reading ? 7U : 3U;
    if (wire.reading) {
        wire.bytes[0] = (ADDRESS << 1) | 1;
    } else {
        memcpy(wire.bytes, command, sizeof command);
    }
    wire.at = wire.bit = wire.half = 0;
    wire.failed = false;
    wire.phase = START;
}

/* What a turn came to. */
static void end(void)
{
    const uint8_t *t = wire.bytes + 1, *h = wire.bytes + 4;
    wire.phase = IDLE;
    if (wire.reading && !wire.failed && crc8(t) == t[2] && crc8(h) == h[2]) {
        const uint32_t air = frame_word(t), humidity = frame_word(h);
        wire.air = (int16_t)((int32_t)(air * 1750U / 65535U) - 450);
        wire.humidity = (int16_t)(humidity * 1000U / 65535U);
        wire.age = 0;
    } else if (wire.reading && wire.age < FRESH_TURNS) {
        wire.age++;
    } else {
        /* not yet, or no longer */
    }
    wire.rest = wire.reading ? REST_MS : MEASURING_MS;
    wire.reading = !wire.reading;
}

static void next_bit(void)
{
    wire.bit++;
    if (wire.bit > 8U) {
        wire.bit = 0;
        wire.at++;
        if (wire.at == wire.count || wire.failed) {
            wire.phase = STOP;
            wire.half = 0;
        }
    }
}

/* One half of a bit: data change while the clock is low, and count while it is high. */
static void half_bit(bool sda)
{
    const bool ours = !wire.reading || wire.at == 0U;
    if (wire.half == 0U) {
        wire.scl_low = true;
        if (wire.bit == 8U) {
            wire.sda_low = !ours && wire.at + 1U < wire.count; /* the last byte isn't acknowledged */
        } else {
            wire.sda_low = ours && (wire.bytes[wire.at] & (uint8_t)(0x80U >> wire.bit)) == 0U;
        }
        wire.half = 1;
    } else if (wire.half == 1U) {
        wire.scl_low = false;
        wire.half = 2;
    } else {
        if (wire.bit == 8U) {
            wire.failed = ours && sda; /* nobody acknowledges */
        } else if (!ours && sda) {
            wire.bytes[wire.at] = (uint8_t)(wire.bytes[wire.at] | (0x80U >> wire.bit));
        } else {
            /* a zero, or our own */
        }
        wire.half = 0;
        next_bit();
    }
}

void climate_tick(bool fitted, bool sda)
{
    if (!fitted) {
        return;
    }
    switch (wire.phase) {
    case IDLE:
        if (wire.rest != 0U) {
            wire.rest--;
        } else {
            begin();
        }
        break;
    case START: /* data fall while the clock is high */
        wire.sda_low = true;
        wire.phase = BITS;
        break;
    case BITS: half_bit(sda); break;
    default: /* STOP: data rise while it is high */
        if (wire.half == 0U) {
            wire.scl_low = wire.sda_low = true;
        } else if (wire.half == 1U) {
            wire.scl_low = false;
        } else {
            wire.sda_low = false;
            end();
        }
        wire.half++;
        break;
    }
}
