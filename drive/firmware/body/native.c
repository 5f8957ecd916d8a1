/* The core alone, behind the same pipe as the emulated chip:  native IMAGE.hex
 *
 * Ports, timers and line are variables here; the pins and what their levels mean are the board's own. */
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "../core/core.h"
#include "../core/serve.h"
#include "../core/starts.h"
#include "body.h"

static uint8_t pin_of[BODY_PORTS], port_of[BODY_PORTS];
#define PINA pin_of[0]
#define PINB pin_of[1]
#define PINC pin_of[2]
#define PIND pin_of[3]
#define PINE pin_of[4]
#define PINF pin_of[5]
#define PING pin_of[6]
#define PINH pin_of[7]
#define PINJ pin_of[9]
#define PINK pin_of[10]
#define PINL pin_of[11]
#define PORTA port_of[0]
#define PORTB port_of[1]
#define PORTC port_of[2]
#define PORTD port_of[3]
#define PORTE port_of[4]
#define PORTF port_of[5]
#define PORTG port_of[6]
#define PORTH port_of[7]
#define PORTJ port_of[9]
#define PORTK port_of[10]
#define PORTL port_of[11]
#include "../mega2560/contacts.h"

enum { SAMPLE = HERTZ / 20000, TICK = HERTZ / 1000 };

static struct {
    struct body_in in;
    struct body_event *event;
    uint32_t next, room;
    struct body_out out;
    uint8_t kept[BODY_EEPROM];
    struct station station;
    struct seen seen;
    struct done done;
    struct encoder encoder[AXES];
    uint64_t now, next_sample, next_tick;
    int running, hangs;
    /* the line */
    uint8_t ring[256], put_at, get_at, last_ms, ms;
    uint8_t arriving;
    uint64_t arrives; /* 0: none */
    bool deaf;
    const uint8_t *sending;
    uint16_t left;
    uint64_t next_byte;
} body;

static struct station_block block;

uint8_t store_read(uint16_t cell) { return body.kept[cell % BODY_EEPROM]; }
void store_write(uint16_t cell, uint8_t value) { body.kept[cell % BODY_EEPROM] = value; }

bool line_get(uint8_t *byte)
{
    if (body.get_at == body.put_at) {
        return false;
    }
    *byte = body.ring[body.get_at++];
    return true;
}

uint8_t line_quiet_ms(void) { return (uint8_t)(body.ms - body.last_ms); }

void line_deafen(void)
{
    body.deaf = true;
    body.get_at = body.put_at;
}

bool line_busy(void) { return body.sending != NULL; }

void line_send(const uint8_t *bytes, uint16_t n)
{
    body.sending = bytes;
    body.left = n;
    body.next_byte = body.now;
    set_LINE_DE(true);
}

static void line_goes(void)
{
    if (body.arrives != 0 && body.now >= body.arrives) {
        body.arrives = 0;
        if (!body.deaf) {
            body.ring[body.put_at++] = body.arriving;
            body.last_ms = body.ms;
        }
    }
    if (body.sending == NULL || body.now < body.next_byte) {
        return;
    }
    struct body_out *o = &body.out;
    if (body.left == 0) {
        body.sending = NULL;
        body.deaf = false;
        o->released = body.now;
        set_LINE_DE(false);
    } else if (o->sent < BODY_SENT) {
        o->bytes[o->sent] = *body.sending++;
        o->driven[o->sent] = 1;
        o->sent_at[o->sent++] = body.next_byte;
        body.next_byte += o->character;
        body.left--;
    } else {
        /* the next step takes it */
    }
}

static void cut(uint8_t axis)
{
    body.out.duty[axis] = 0;
    if (axis == AZIMUTH) {
        set_AZ_PWM(false);
        set_AZ_ENABLE(false);
    } else {
        set_EL_PWM(false);
        set_EL_ENABLE(false);
    }
}

static void apply_axis(uint8_t axis)
{
    const int16_t drive = body.done.applied[axis];
    const uint8_t k = (uint8_t)(body.done.speed[axis] - 1U);
    const bool fixed = body.station.speeds[axis] != 0, low = fixed && (k & 1) != 0, high = fixed && (k & 2) != 0;
    const bool sense = (drive < 0) != (body.station.reversed[axis] != 0);
    if (drive == 0 || (PINB & guard_of(axis, drive)) != 0) {
        cut(axis);
        return;
    }
    body.out.duty[axis] = fixed ? 0 : duty_of(drive);
    if (axis == AZIMUTH) {
        set_AZ_SENSE(sense);
        set_AZ_ENABLE(true);
        set_AZ_PWM(low);
        set_AZ_SPEED(high);
    } else {
        set_EL_SENSE(sense);
        set_EL_ENABLE(true);
        set_EL_PWM(low);
        set_EL_SPEED(high);
    }
}

static void apply(void)
{
    apply_axis(AZIMUTH);
    apply_axis(ELEVATION);
    set_outputs(&body.done);
    body.out.output[3] = (uint8_t)((body.out.output[3] & ~3U) | (body.done.scl_low ? 1U << BIT_SCL : 0U) |
                                   (body.done.sda_low ? 1U << BIT_SDA : 0U));
}

static uint16_t steps_of(int channel)
{
    const uint32_t steps = body.in.millivolts[channel] * 1023U / 5000U;
    return (uint16_t)(steps > 1023 ? 1023 : steps);
}

static void tick(void)
{
    struct seen *s = &body.seen;
    for (uint8_t i = 0; i < AXES; i++) {
        s->encoder[i] = body.encoder[i];
        s->current[i] = steps_of(i);
    }
    s->state = state_of_contacts(&body.station);
    s->contacts = other_contacts();
    s->hand = hand_buttons();
    s->noise_count = 5;
    s->noise_sum = (uint16_t)(5 * steps_of(2));
    for (uint8_t i = 0; i < INPUTS; i++) {
        s->input[i] = steps_of(3 + i);
    }
    s->reference = 225; /* 1.1 V of 5 V */
    body.ms++;
    core_tick(s, &body.done);
    apply();
}

static void sample(void)
{
    const uint8_t flip = mark_flip(&body.station), c = PINC;
    for (uint8_t i = 0; i < AXES; i++) {
        if ((PINB & guard_of(i, body.done.applied[i])) != 0) {
            cut(i);
        }
    }
    encoder_look(&body.encoder[AZIMUTH], tracks_azimuth(c, flip));
    encoder_look(&body.encoder[ELEVATION], tracks_elevation(c, flip));
}

/* What a start does, from pins that are what they are. */
static void start(void)
{
    uint16_t starts;
    memset(port_of, 0, sizeof port_of);
#define CONTACT 0U
#define TRACK 0U
#define ANALOG 0U
#define LINE 0U
#define WIRE 0U
#define OUT 1U
#define PWM 1U
#define PIN(name, port, bit, kind, ...) body.out.output[#port[0] - 'A'] |= (uint8_t)(kind << (bit));
#include "../mega2560/pins.def"
#undef PIN
    memset(&body.done, 0, sizeof body.done);
    memset(body.encoder, 0, sizeof body.encoder);
    body.out.duty[0] = body.out.duty[1] = 0;
    body.sending = NULL;
    body.put_at = body.get_at = 0;
    body.deaf = false;
    body.hangs = 0;
    (void)station_take(&body.station, &block);
    const bool kept = starts_next(&starts);
    core_start(&body.station, starts, kept);
    body.encoder[AZIMUTH].was = tracks_azimuth(PINC, mark_flip(&body.station));
    body.encoder[ELEVATION].was = tracks_elevation(PINC, mark_flip(&body.station));
    body.next_sample = body.now + SAMPLE;
    body.next_tick = body.now + TICK;
    body.out.character = (uint32_t)(11ULL * HERTZ / body.station.baud[0]);
    body.running = 1;
}

static void happen(const struct body_event *e)
{
    if (e->kind == BODY_BYTE) {
        line_goes(); /* the byte before has just come whole */
        body.arriving = (uint8_t)((e->value & 0xC000) != 0 ? e->value ^ 0x55 : e->value);
        body.arrives = body.now + body.out.character;
    } else if (e->value != 0) {
        pin_of[e->port] = (uint8_t)(pin_of[e->port] | 1U << e->bit);
    } else {
        pin_of[e->port] = (uint8_t)(pin_of[e->port] & ~(1U << e->bit));
    }
}

/* Goes on to the next thing that is due, but not beyond an end. */
static void go_on(uint64_t begin, uint64_t end)
{
    uint64_t to = end;
    const bool event = body.next < body.in.events;
    const uint64_t at = event ? begin + body.event[body.next].at : end,
                   times[] = {at, body.next_sample, body.next_tick, body.arrives != 0 ? body.arrives : end,
                              body.sending != NULL ? body.next_byte : end};
    for (size_t i = 0; i < sizeof times / sizeof times[0]; i++) {
        to = times[i] < to ? times[i] : to;
    }
    body.now = to > body.now ? to : body.now;
    if (event && at <= body.now) {
        happen(&body.event[body.next++]);
    }
    bool ticked = false;
    if (body.now >= body.next_sample) {
        body.next_sample += SAMPLE;
        sample();
    }
    if (body.now >= body.next_tick) {
        body.next_tick += TICK;
        tick();
        ticked = true;
    }
    line_goes();
    if (serve(ticked, &body.done)) {
        apply();
    }
}

static void step(void)
{
    const uint64_t begin = body.now, end = begin + body.in.value;
    if (!body.running) {
        for (body.next = 0; body.next < body.in.events && body.event[body.next].at == 0; body.next++) {
            happen(&body.event[body.next]);
        }
        start();
    } else {
        body.next = 0;
    }
    while (body.now < end && body.hangs == 0) {
        go_on(begin, end);
    }
    body.now = end;
}

static int take(void)
{
    switch (body.in.order) {
    case BODY_STEP:
        if (body.in.events > body.room) {
            body.room = body.in.events;
            body.event = realloc(body.event, body.room * sizeof *body.event);
        }
        if (!body_read(body.event, body.in.events * sizeof *body.event)) {
            return 0;
        }
        step();
        break;
    case BODY_KEEP: return body_read(body.kept, sizeof body.kept);
    case BODY_RESET: start(); break;
    default: break;
    }
    return 1;
}

/* The station's table stands in the image behind its mark. */
static int load(const char *image)
{
    static uint8_t code[1 << 18];
    unsigned length, address, kind, byte;
    char line[600];
    FILE *f = fopen(image, "r");
    if (f == NULL) {
        fprintf(stderr, "native: no image %s\n", image);
        return 0;
    }
    uint32_t base = 0;
    while (fgets(line, sizeof line, f) != NULL && sscanf(line, ":%2x%4x%2x", &length, &address, &kind) == 3) {
        for (unsigned i = 0; i < length && sscanf(line + 9 + 2 * i, "%2x", &byte) == 1; i++) {
            if (kind == 0 && base + address + i < sizeof code) {
                code[base + address + i] = (uint8_t)byte;
            }
        }
        if (kind == 2 && sscanf(line + 9, "%4x", &byte) == 1) {
            base = byte << 4;
        }
    }
    fclose(f);
    for (size_t i = 0; i + sizeof block < sizeof code; i++) {
        if (memcmp(code + i, "STATION", 8) == 0) {
            memcpy(&block, code + i, sizeof block);
            return 1;
        }
    }
    fprintf(stderr, "native: no station's table in %s\n", image);
    return 0;
}

int main(int count, char **argument)
{
    static struct body_measured measured;
    if (count != 2 || !load(argument[1])) {
        return 2;
    }
    memset(body.kept, 0xFF, sizeof body.kept);
    body.out.version = BODY_VERSION;
    body.out.period = 800;
    while (body_read(&body.in, sizeof body.in)) {
        body.out.sent = 0;
        if (!take()) {
            break;
        }
        body.out.cycle = body.now;
        for (int p = 0; p < BODY_PORTS; p++) {
            body.out.level[p] = port_of[p];
        }
        if (!body_write(&body.out, sizeof body.out) ||
            (body.in.order == BODY_KEPT && !body_write(body.kept, sizeof body.kept)) ||
            (body.in.order == BODY_MEASURED && !body_write(&measured, sizeof measured))) {
            break;
        }
    }
    return 0;
}
