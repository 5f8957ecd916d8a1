/* Anything at all as input of the core, with what must hold whatever comes:  fuzz SECONDS [SEED]
 *
 * Bytes of the line (frames that are whole, damaged, cut short, run into each other, and rubbish), contacts, encoders
 * and converter, and the station's table (whole, with single values changed, damaged). Built with sanitizers. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "../core/core.h"
#include "../core/frame.h"
#include "../core/serve.h"
#include "../core/starts.h"

static uint64_t chance, seed;
static const uint8_t *sent;
static uint16_t sent_length;
static uint8_t line[512], kept[4096], quiet;
static size_t line_at, line_end;
static unsigned long frames, replies, tables, refused_tables;

static uint32_t any(uint32_t below)
{
    chance ^= chance << 13;
    chance ^= chance >> 7;
    chance ^= chance << 17;
    return (uint32_t)(chance >> 32) % below;
}

static void fail(const char *what)
{
    fprintf(stderr, "fuzz: %s (seed %llu, after %lu frames)\n", what, (unsigned long long)seed, frames);
    abort();
}

bool line_get(uint8_t *byte)
{
    if (line_at == line_end) {
        return false;
    }
    *byte = line[line_at++];
    return true;
}
uint8_t line_quiet_ms(void) { return quiet; }
void line_deafen(void) { line_at = line_end; }
bool line_busy(void) { return false; }
void line_send(const uint8_t *bytes, uint16_t n)
{
    sent = bytes;
    sent_length = n;
}
/* Cells that sometimes fail, as worn ones do. */
uint8_t store_read(uint16_t cell) { return kept[cell % sizeof kept]; }
void store_write(uint16_t cell, uint8_t value)
{
    kept[cell % sizeof kept] = any(64) == 0 ? (uint8_t)any(256) : value;
}

static void put(uint8_t b)
{
    if (line_end < sizeof line) {
        line[line_end++] = b;
    }
}

static void seal(size_t from)
{
    const uint16_t crc = frame_crc(line + from, (uint16_t)(line_end - from));
    put((uint8_t)crc);
    put((uint8_t)(crc >> 8));
}

static void put_word(uint32_t v)
{
    put((uint8_t)(v >> 8));
    put((uint8_t)v);
}

/* Mostly near what is allowed, now and then anything. */
static uint32_t near(uint32_t usual, uint32_t width) { return any(8) == 0 ? any(65536) : usual + any(width); }

static void put_request(uint8_t unit)
{
    static const uint8_t functions[] = {3, 4, 6, 16, 23, 23, 23};
    const size_t from = line_end;
    const uint8_t function = any(20) == 0 ? (uint8_t)any(256) : functions[any(sizeof functions)];
    put(unit);
    put(function);
    if (function != 6 && function != 16) {
        put_word(near(0, 0x60));
        put_word(near(1, 40));
    }
    if (function == 6 || function == 16 || function == 23) {
        const uint32_t n = function == 6 ? 1 : 1 + any(16);
        put_word(near(0x10, 16));
        if (function != 6) {
            put_word(any(16) == 0 ? any(300) : n);
            put((uint8_t)(any(16) == 0 ? any(256) : 2 * n));
        }
        for (uint32_t i = 0; i < n; i++) {
            put_word(any(3) == 0 ? any(65536) : any(4) == 0 ? 0 : any(64));
        }
    }
    seal(from);
}

static void put_anything(uint8_t unit)
{
    const uint32_t kind = any(10);
    const size_t from = line_end;
    if (kind < 7) {
        put_request(any(8) == 0 ? (uint8_t)any(256) : unit);
    } else {
        for (uint32_t n = any(300); n != 0; n--) {
            put((uint8_t)(any(4) == 0 ? unit : any(3) == 0 ? 23 : any(256)));
        }
    }
    if (line_end > from && any(6) == 0) {
        line[from + any((uint32_t)(line_end - from))] ^= (uint8_t)(1U << any(8));
    }
    if (any(12) == 0) {
        line_end = from + any((uint32_t)(line_end - from + 1));
    }
}

static void see(struct seen *s)
{
    for (uint8_t i = 0; i < AXES; i++) {
        for (uint32_t n = any(4); n != 0; n--) {
            encoder_look(&s->encoder[i], (uint8_t)any(8));
        }
        s->current[i] = (uint16_t)any(1024);
    }
    if (any(20) == 0) {
        s->state = (uint16_t)(any(3) == 0 ? any(65536) & 0x3FFC : 0);
        s->contacts = (uint8_t)any(256);
        s->hand = (uint8_t)any(16);
    }
    for (uint8_t i = 0; i < INPUTS; i++) {
        s->input[i] = (uint16_t)any(1024);
    }
    s->reference = (uint16_t)any(1024);
    s->noise_count = (uint8_t)any(12);
    s->noise_sum = (uint16_t)(s->noise_count * any(1024));
}

/* What must hold of what is done, whatever came. */
static void judge(const struct station *t, const struct seen *s, const struct done *d)
{
    const bool hand = t->hand_panel[0] != 0 && (s->state & 4) != 0 && (s->state & 8) == 0;
    for (uint8_t i = 0; i < AXES; i++) {
        const bool upper = (s->state >> (4 + 2 * i) & 1) != 0, lower = (s->state >> (5 + 2 * i) & 1) != 0;
        const int16_t a = d->applied[i];
        if (a < -FULL_DRIVE || a > FULL_DRIVE) {
            fail("more than full drive");
        }
        if (a != 0 && (t->axis[i] == 0 || (!d->contactor && !hand))) {
            fail("a drive that nothing may drive");
        }
        if ((a > 0 && upper) || (a < 0 && lower) || (a != 0 && upper && lower)) {
            fail("a drive into an open end");
        }
        if (d->speed[i] > t->speeds[i]) {
            fail("a speed that isn't there");
        }
    }
    if (d->contactor && ((s->state & 8) != 0 || hand)) {
        fail("power with the stop circuit open or the hand panel in control");
    }
}

static void any_table(struct station_block *b, struct station *s)
{
    memset(b, 0, sizeof *b);
    b->version = STATION_VERSION;
    b->size = STATION_SIZE;
    station_default(s);
    memcpy(b->table, s, STATION_SIZE);
    for (uint32_t n = any(6); n != 0; n--) {
        b->table[any(STATION_SIZE)] = (uint8_t)(any(2) == 0 ? any(256) : any(3));
    }
    b->crc = frame_crc((const uint8_t *)&b->version, (uint16_t)(4 + STATION_SIZE));
    if (any(5) == 0) {
        ((uint8_t *)b)[any((uint32_t)sizeof *b)] ^= (uint8_t)(1U << any(8));
    }
    tables++;
    if (!station_take(s, b)) {
        refused_tables++;
        if (s->axis[0] != 0 || s->axis[1] != 0 || s->unit[0] != 1 || s->baud[0] != 19200) {
            fail("a refused table counts");
        }
    }
}

/* One start and some seconds. */
static void live(void)
{
    static struct station_block block;
    struct station station;
    struct seen seen;
    struct done done;
    uint16_t starts;
    any_table(&block, &station);
    memset(&seen, 0, sizeof seen);
    memset(&done, 0, sizeof done);
    const bool counted = starts_next(&starts);
    /* What the start before has heard, and the reply that waits, are gone in a chip that starts again. */
    frame_forget();
    quiet = 255;
    line_at = line_end = 0;
    (void)serve(false, &done);
    core_start(&station, starts, counted);
    if (!counted) {
        station.axis[0] = station.axis[1] = 0;
    }
    for (int k = 0; k < 3000; k++) {
        see(&seen);
        core_tick(&seen, &done);
        judge(&station, &seen, &done);
        quiet = (uint8_t)(any(6) == 0 ? any(256) : any(30));
        line_at = line_end = 0;
        if (any(4) == 0) {
            put_anything(station.unit[0]);
            frames++;
        }
        for (int turn = 0; turn < 4; turn++) {
            sent_length = 0;
            if (serve(turn == 0, &done)) {
                judge(&station, &seen, &done);
            }
            if (sent_length != 0) {
                replies++;
                if (sent_length < 5 || sent_length > FRAME_MOST || frame_crc(sent, sent_length) != 0 ||
                    sent[0] != station.unit[0]) {
                    fail("a reply that is none");
                }
            }
        }
    }
}

int main(int count, char **argument)
{
    const long seconds = count > 1 ? strtol(argument[1], NULL, 10) : 1;
    chance = count > 2 ? strtoull(argument[2], NULL, 10) : 88172645463325252ULL;
    seed = chance;
    const time_t begun = time(NULL);
    memset(kept, 0xFF, sizeof kept);
    do {
        live();
    } while (time(NULL) - begun < seconds);
    printf("fuzz: %lu inputs on the line, %lu replies, %lu tables of which %lu were refused\n", frames, replies,
           tables, refused_tables);
    return frames == 0 || replies == 0 || refused_tables == 0;
}
