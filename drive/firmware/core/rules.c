/* What the enclosure does by itself: power, trips, watchdog, permit, outputs. Section 7 of the page of registers. */
#include "frame.h"
#include "parts.h"

enum {
    COMING_MOST_MS = 2000,
    SILENT_ENCODER_MS = 1500,
    SILENT_DRIVE = FULL_DRIVE / 5, /* from which applied drive a silent encoder is a fault */
    NOISE_SOURCE_MOST_MS = 5000,
    CLEAN_AFTER_MS = 300,
    WATCHDOG_AT_START_MS = 1000,
    NEVER = 65535
};

void rules_start(void)
{
    core.written[W_WATCHDOG] = WATCHDOG_AT_START_MS;
    core.trips = TRIP_STARTED;
    core.since_keyed = NEVER;
    core.since_count[AZIMUTH] = core.since_count[ELEVATION] = NEVER;
}

static void set_permit(bool on)
{
    if (core.permit != on) {
        core.permit = on;
        core.changed = core.ms;
    }
}

static void set_outputs(uint8_t outputs)
{
    if (core.outputs != outputs) {
        core.outputs = outputs;
        core.changed = core.ms;
    }
}

bool rules_by_hand(void) { return (core.seen.state & (STATE_HAND | STATE_STOP)) == STATE_HAND; }

bool rules_braked(uint8_t axis)
{
    return core.station.brakes[0] != 0U && core.station.axis[axis] != 0U && core.applied[axis] == 0 &&
           core.power != POWER_ON && !rules_by_hand();
}

/* Ends motion and the permit at once, and stays until it is cleared. */
static void trip(uint16_t bit)
{
    core.trips = (uint16_t)(core.trips | bit);
    if (core.power != POWER_OFF || !rules_by_hand()) {
        axes_halt();
    }
    core.power = POWER_OFF;
    set_permit(false);
}

/* Says whether an encoder has not counted though its axis was driven. */
static bool silent(uint8_t axis)
{
    const int16_t drive = core.applied[axis];
    const bool at_end = axis_is(core.seen.state, STATE_UPPER | STATE_LOWER, (uint8_t)(2U * axis));
    if ((drive < SILENT_DRIVE && drive > -SILENT_DRIVE) || at_end || core.since_count[axis] == 0U) {
        core.driven[axis] = core.ms;
    }
    return core.ms - core.driven[axis] >= SILENT_ENCODER_MS;
}

static void watch_power(void)
{
    const bool powered = (core.seen.contacts & CONTACT_SUPPLY) != 0U;
    if (core.power == POWER_COMING && powered && core.ms - core.coming >= core.station.contactor_ms[0]) {
        core.power = POWER_ON;
    } else if ((core.power == POWER_COMING && core.ms - core.coming >= COMING_MOST_MS) ||
               (core.power == POWER_ON && !powered)) {
        trip(TRIP_POWER);
    } else {
        /* as it was */
    }
}

static void watch(void)
{
    const bool running = core.power != POWER_OFF;
    if ((running || core.permit) && core.ms - core.fed >= core.written[W_WATCHDOG]) {
        trip(TRIP_WATCHDOG);
        set_outputs((uint8_t)(core.outputs & 0xFEU));
    }
    if (core.ms - core.fed_ever >= NOISE_SOURCE_MOST_MS) {
        set_outputs((uint8_t)(core.outputs & 0xFEU));
        core.fed_ever = core.ms - NOISE_SOURCE_MOST_MS; /* so that it doesn't come round */
    }
    if (running && (core.seen.state & STATE_STOP) != 0U) {
        trip(TRIP_STOP);
    }
    if (running && (core.seen.state & STATE_HAND) != 0U) {
        trip(TRIP_HAND);
    }
    watch_power();
    for (uint8_t i = 0; i < AXES; i++) {
        if (core.station.axis[i] == 0U) {
            continue;
        }
        if (axis_is(core.seen.state, STATE_FAULT, i)) {
            trip((uint16_t)(TRIP_FAULT << i));
        }
        if (silent(i)) {
            core.lost = (uint8_t)(core.lost | (1U << i));
            trip((uint16_t)(TRIP_ENCODER << i));
        }
    }
}

/* Whether the sequencer is anywhere but in receive. */
static bool switching(void)
{
    return core.station.amplifier[0] != 0U && (core.seen.contacts & CONTACT_FAULT) == 0U &&
           ((core.seen.contacts / CONTACT_SEQUENCER) & 3U) != 0U;
}

void rules_tick(void)
{
    watch();
    if ((core.seen.state & STATE_KEYED) != 0U) {
        core.since_keyed = 0;
        core.changed = core.ms;
    } else {
        if (core.since_keyed == 0U) {
            core.changed = core.ms;
        }
        if (core.since_keyed != NEVER) {
            core.since_keyed++;
        }
    }
    if (switching()) {
        core.changed = core.ms;
    }
    if (core.ms - core.changed > CLEAN_AFTER_MS) {
        core.changed = core.ms - CLEAN_AFTER_MS; /* likewise */
    }
}

bool rules_may_write(uint8_t place, uint16_t value)
{
    const int16_t number = (int16_t)value;
    switch (place) {
    case W_SEQUENCE:
    case W_CLEAR:
    case W_FEED: return true;
    case W_ORDERS: return (value & (uint16_t)~ORDERS) == 0U;
    case W_DEMAND:
    case W_DEMAND + 1:
        return number >= -FULL_DRIVE && number <= FULL_DRIVE &&
               (number == 0 || core.station.axis[place - W_DEMAND] != 0U);
    case W_WATCHDOG: return value >= 200U && value <= 2000U;
    case W_OUTPUTS: return value <= 0xFFU;
    case W_BAND: return value <= 15U;
    default: return value == 0U;
    }
}

/* Clears the trips whose cause is gone. */
static void clear(uint16_t asked)
{
    const uint16_t state = core.seen.state;
    uint16_t stays = (state & STATE_STOP) != 0U ? TRIP_STOP : 0U;
    if ((state & STATE_HAND) != 0U) {
        stays = (uint16_t)(stays | TRIP_HAND);
    }
    if ((core.seen.contacts & CONTACT_READY) == 0U) {
        stays = (uint16_t)(stays | TRIP_POWER);
    }
    for (uint8_t i = 0; i < AXES; i++) {
        if (axis_is(state, STATE_FAULT, i)) {
            stays = (uint16_t)(stays | (uint16_t)(TRIP_FAULT << i));
        }
        if (axis_is(asked, TRIP_ENCODER, i)) {
            core.lost = (uint8_t)(core.lost & ~(1U << i));
            core.driven[i] = core.ms;
        }
    }
    core.trips = (uint16_t)(core.trips & (uint16_t) ~(uint16_t)(asked & (uint16_t)~stays));
}

/* Turns power and permit on where they are newly ordered and nothing is against it, and off where they aren't
 * ordered. */
static void obey(uint16_t rises, bool clears_nothing)
{
    const uint16_t orders = core.written[W_ORDERS];
    const bool may = clears_nothing && core.trips == 0U, running = core.power != POWER_OFF || core.permit;
    if ((orders & ORDER_POWER) == 0U && core.power != POWER_OFF) {
        core.power = POWER_OFF;
        if (!rules_by_hand()) {
            axes_halt();
        }
    }
    if ((rises & ORDER_POWER) != 0U && may && (core.seen.state & (STATE_STOP | STATE_HAND)) == 0U &&
        core.written[W_DEMAND] == 0U && core.written[W_DEMAND + 1] == 0U) {
        core.power = POWER_COMING;
        core.coming = core.ms;
    }
    if ((orders & ORDER_PERMIT) == 0U) {
        set_permit(false);
    } else if ((rises & ORDER_PERMIT) != 0U && may) {
        set_permit(true);
    } else {
        /* as it was */
    }
    if (!running) {
        core.fed = core.ms; /* the watchdog's time begins here */
    }
}

void rules_write(uint8_t place, uint8_t count, const uint8_t *values)
{
    const uint16_t orders = core.written[W_ORDERS], sequence = core.written[W_SEQUENCE], band = core.written[W_BAND];
    for (uint8_t i = 0; i < count; i++) {
        core.written[place + i] = frame_word(values + 2U * i);
    }
    const uint8_t after = (uint8_t)(place + count);
    if (core.written[W_SEQUENCE] != sequence) {
        core.fed = core.fed_ever = core.ms;
    }
    const uint16_t asked = core.written[W_CLEAR];
    core.written[W_CLEAR] = 0;
    clear(asked);
    if (place <= W_ORDERS && after > W_ORDERS) {
        obey((uint16_t)(core.written[W_ORDERS] & (uint16_t)~orders), asked == 0U);
    }
    if (place <= W_OUTPUTS && after > W_OUTPUTS) {
        set_outputs((uint8_t)core.written[W_OUTPUTS]);
    }
    if (core.written[W_BAND] != band) {
        core.changed = core.ms;
    }
}
