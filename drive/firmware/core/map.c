/* The registers that are read. */
#include "frame.h"
#include "parts.h"

static uint16_t high(uint32_t v) { return (uint16_t)(v >> 16); }

static uint16_t identity(uint8_t address)
{
    const struct station *s = &core.station;
    switch (address) {
    case 0x00: return 1;
    case 0x01: return core.fitted;
    case 0x02: return high(core.seconds);
    case 0x03: return (uint16_t)core.seconds;
    case 0x04: return core.starts;
    case 0x05: return FIRMWARE_REVISION;
    case 0x06:
        return (uint16_t)((s->axis[AZIMUTH] != 0U ? (uint16_t)(s->speeds[AZIMUTH] << 8) : 0U) |
                          (s->axis[ELEVATION] != 0U ? s->speeds[ELEVATION] : 0U));
    case 0x07: return s->axis[AZIMUTH] != 0U ? s->ramp_ms[AZIMUTH] : 0U;
    case 0x08: return s->axis[ELEVATION] != 0U ? s->ramp_ms[ELEVATION] : 0U;
    case 0x0F: return REGISTERS - 1;
    default: return 0;
    }
}

static uint16_t state(void) { return (uint16_t)(core.seen.state | (core.power == POWER_ON ? STATE_POWER : 0U)); }

static uint16_t more(void)
{
    uint16_t bits = (uint16_t)((uint16_t)core.lost << 2);
    for (uint8_t i = 0; i < AXES; i++) {
        if (core.station.axis[i] != 0U && core.seen.encoder[i].upward != 0U) {
            bits = (uint16_t)(bits | (1U << i));
        }
        if (rules_braked(i)) {
            bits = (uint16_t)(bits | (0x10U << i));
        }
    }
    if (core.permit) {
        bits = (uint16_t)(bits | 0x40U);
    }
    if ((core.seen.state & STATE_KEYED) == 0U && core.ms - core.changed >= 300U) {
        bits = (uint16_t)(bits | 0x80U);
    }
    if (core.power == POWER_COMING) {
        bits = (uint16_t)(bits | 0x100U);
    }
    return bits;
}

static uint16_t motion(uint8_t address)
{
    switch (address) {
    case 0x20: return state();
    case 0x21:
    case 0x3F: return core.written[W_SEQUENCE];
    case 0x22: return high((uint32_t)core.counts[AZIMUTH]);
    case 0x23: return (uint16_t)core.counts[AZIMUTH];
    case 0x24: return high((uint32_t)core.counts[ELEVATION]);
    case 0x25: return (uint16_t)core.counts[ELEVATION];
    case 0x26: return (uint16_t)readings_current(AZIMUTH);
    case 0x27: return (uint16_t)readings_current(ELEVATION);
    case 0x28: return (uint16_t)core.applied[AZIMUTH];
    case 0x29: return (uint16_t)core.applied[ELEVATION];
    case 0x2A: return high(core.ms);
    case 0x2B: return (uint16_t)core.ms;
    case 0x2C: return core.station.axis[AZIMUTH] != 0U ? core.since_count[AZIMUTH] : 0U;
    case 0x2D: return core.station.axis[ELEVATION] != 0U ? core.since_count[ELEVATION] : 0U;
    case 0x2E: return core.trips;
    case 0x2F: return more();
    case 0x30: return high((uint32_t)readings_detector());
    case 0x31: return (uint16_t)readings_detector();
    case 0x32: return core.starts;
    case 0x33: return core.impossible[AZIMUTH];
    case 0x34: return core.impossible[ELEVATION];
    case 0x35: return core.since_keyed;
    case 0x36: return high((uint32_t)core.mark[AZIMUTH]);
    case 0x37: return (uint16_t)core.mark[AZIMUTH];
    case 0x38: return core.entries[AZIMUTH];
    case 0x39: return high((uint32_t)core.mark[ELEVATION]);
    case 0x3A: return (uint16_t)core.mark[ELEVATION];
    case 0x3B: return core.entries[ELEVATION];
    case 0x3C: return frame_bad();
    case 0x3D: return core.station.band_switch[0] != 0U ? core.band : (uint16_t)NOT_FITTED;
    default: return (uint16_t)NOT_FITTED; /* 003E: no feed turner */
    }
}

uint16_t map_register(uint8_t address)
{
    if (address < FIRST_WRITTEN) {
        return identity(address);
    }
    if (address < FIRST_WRITTEN + WRITTEN) {
        return core.written[address - FIRST_WRITTEN];
    }
    if (address < 0x40U) {
        return motion(address);
    }
    return address == 0x58U ? core.written[W_SEQUENCE] : (uint16_t)readings_at(address);
}
