#include "core.h"

#include <string.h>

#include "frame.h"
#include "parts.h"

struct core core;

void core_start(const struct station *s, uint16_t starts, bool counter_kept)
{
    memset(&core, 0, sizeof core);
    core.station = *s;
    if (!counter_kept) {
        core.station.axis[AZIMUTH] = core.station.axis[ELEVATION] = 0;
    }
    core.fitted = station_fitted(&core.station);
    core.starts = starts;
    core.to_second = 1000;
    frame_start(s->unit[0]);
    rules_start();
    axes_start();
    readings_start();
    climate_start();
}

uint8_t core_reply_ms(void)
{
    const uint32_t baud = core.station.baud[0];
    return (uint8_t)(baud > 19200UL ? 3UL
                                    : 38500UL / baud + 2UL); /* 3.5 characters of 11 bits; 1.75 ms above 19200 baud */
}

static void tell(struct done *done)
{
    for (uint8_t i = 0; i < AXES; i++) {
        done->applied[i] = core.applied[i];
        done->speed[i] = core.speed[i];
        done->released[i] = core.station.brakes[0] != 0U && core.station.axis[i] != 0U && !rules_braked(i);
    }
    done->contactor = core.power != POWER_OFF;
    done->permit = core.permit;
    done->warning = (core.written[W_ORDERS] & ORDER_WARNING) != 0U;
    done->outputs = core.outputs;
    done->band = core.band;
    done->scl_low = climate_scl_low();
    done->sda_low = climate_sda_low();
}

/* What isn't fitted isn't seen. */
static void fit(void)
{
    const struct station *s = &core.station;
    uint16_t unfitted = 0;
    for (uint8_t i = 0; i < AXES; i++) {
        if (s->axis[i] == 0U) {
            unfitted = (uint16_t)(unfitted | (uint16_t)((STATE_UPPER | STATE_LOWER) << (2U * i)));
        }
        if (s->axis[i] == 0U || s->fault_input[i] == 0U) {
            unfitted = (uint16_t)(unfitted | (uint16_t)(STATE_FAULT << i));
        }
        if (s->axis[i] == 0U || s->marks[0] == 0U) {
            unfitted = (uint16_t)(unfitted | (uint16_t)(STATE_MARK << i));
        }
    }
    if (s->hand_panel[0] == 0U) {
        unfitted = (uint16_t)(unfitted | STATE_HAND);
    }
    if (s->door_input[0] == 0U) {
        unfitted = (uint16_t)(unfitted | STATE_DOOR);
    }
    if (s->transmit_gate[0] == 0U) {
        unfitted = (uint16_t)(unfitted | STATE_KEYED);
    }
    core.seen.state = (uint16_t)(core.seen.state & (uint16_t)~unfitted);
    if (s->supply_input[0] == 0U) {
        core.seen.contacts = (uint8_t)(core.seen.contacts | CONTACT_SUPPLY);
    }
    if (s->ready_input[0] == 0U) {
        core.seen.contacts = (uint8_t)(core.seen.contacts | CONTACT_READY);
    }
}

void core_tick(const struct seen *seen, struct done *done)
{
    core.ms++;
    core.to_second--;
    if (core.to_second == 0U) {
        core.to_second = 1000;
        core.seconds++;
    }
    axes_drive();
    core.seen = *seen;
    fit();
    axes_count();
    rules_tick();
    axes_heed_ends();
    core.band = (uint8_t)core.written[W_BAND];
    readings_tick();
    climate_tick(core.station.climate_sensor[0] != 0U, (core.seen.contacts & CONTACT_SDA) != 0U);
    tell(done);
}

/* A request taken apart. */
struct request {
    uint16_t read, reads, write, writes; /* addresses and numbers of registers */
    const uint8_t *values;
};

enum exception { NO_EXCEPTION, ILLEGAL_FUNCTION, ILLEGAL_ADDRESS, ILLEGAL_VALUE };

static enum exception quantities(const uint8_t *p, struct request *q)
{
    uint16_t most = 123;
    uint8_t bytes = 2;
    switch (p[1]) {
    case READ_HOLDING:
    case READ_INPUT:
        q->read = frame_word(p + 2);
        q->reads = frame_word(p + 4);
        return q->reads >= 1U && q->reads <= 125U ? NO_EXCEPTION : ILLEGAL_VALUE;
    case WRITE_ONE:
        q->write = frame_word(p + 2);
        q->writes = 1;
        q->values = p + 4;
        break;
    case WRITE_MANY:
        q->write = frame_word(p + 2);
        q->writes = frame_word(p + 4);
        bytes = p[6];
        q->values = p + 7;
        break;
    case READ_WRITE:
        q->read = frame_word(p + 2);
        q->reads = frame_word(p + 4);
        q->write = frame_word(p + 6);
        q->writes = frame_word(p + 8);
        bytes = p[10];
        q->values = p + 11;
        most = 121;
        if (q->reads < 1U || q->reads > 125U) {
            return ILLEGAL_VALUE;
        }
        break;
    default: return ILLEGAL_FUNCTION;
    }
    return q->writes >= 1U && q->writes <= most && bytes == 2U * q->writes ? NO_EXCEPTION : ILLEGAL_VALUE;
}

/* Everything is checked before anything takes effect, in the order of the page: function, quantities, ranges, values.
 */
static enum exception check(const uint8_t *p, struct request *q)
{
    const enum exception e = quantities(p, q);
    if (e != NO_EXCEPTION) {
        return e;
    }
    if ((uint32_t)q->read + q->reads > REGISTERS) {
        return ILLEGAL_ADDRESS;
    }
    if (q->writes != 0U && (q->write < FIRST_WRITTEN || (uint32_t)q->write + q->writes > FIRST_WRITTEN + WRITTEN)) {
        return ILLEGAL_ADDRESS;
    }
    for (uint8_t i = 0; i < q->writes; i++) {
        if (!rules_may_write((uint8_t)(q->write - FIRST_WRITTEN + i), frame_word(q->values + 2U * i))) {
            return ILLEGAL_VALUE;
        }
    }
    return NO_EXCEPTION;
}

uint16_t core_answer(const uint8_t *request, uint16_t length, uint8_t *reply, struct done *done)
{
    struct request q = {0, 0, 0, 0, request};
    const enum exception e = length >= 8U || request[1] > READ_WRITE ? check(request, &q) : ILLEGAL_FUNCTION;
    uint16_t n = 2;
    reply[0] = request[0];
    reply[1] = request[1];
    if (e != NO_EXCEPTION) {
        reply[1] = (uint8_t)(reply[1] | 0x80U);
        reply[n++] = (uint8_t)e;
    } else {
        if (q.writes != 0U) {
            rules_write((uint8_t)(q.write - FIRST_WRITTEN), (uint8_t)q.writes, q.values);
        }
        if (q.reads == 0U) {
            memcpy(reply + 2, request + 2, 4);
            n = 6;
        } else {
            reply[n++] = (uint8_t)(2U * q.reads);
        }
        for (uint8_t i = 0; i < q.reads; i++) {
            const uint16_t v = map_register((uint8_t)(q.read + i));
            reply[n++] = (uint8_t)(v >> 8);
            reply[n++] = (uint8_t)v;
        }
    }
    const uint16_t crc = frame_crc(reply, n);
    reply[n++] = (uint8_t)crc;
    reply[n++] = (uint8_t)(crc >> 8);
    tell(done);
    return n;
}
