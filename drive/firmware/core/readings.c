/* What the converter, the pulses and the contacts tell. Sums are kept at each tick; they are divided only when asked.
 */
#include "parts.h"

#include <string.h>

enum {
    CURRENT_MS = 50,
    SLOT_MS = 100, /* of pulses */
    SLOTS = 10,    /* a second of them */
    GUSTS = 10,    /* seconds */
    NOISE_SLOT_MS = 5,
    NOISE_SLOTS = 20, /* 100 ms of them */
    STEADY_MS = 2     /* a contact of pulses must stand so long, so that its bounce counts for nothing */
};

/* Pulses of a sensor. */
struct pulses {
    uint8_t steady, was; /* how long the contact stands as it does, and as what it was taken */
    uint16_t slot[SLOTS], sum, now;
};

static struct {
    uint16_t ring[AXES][CURRENT_MS];
    uint16_t sum[AXES];
    uint16_t greatest[AXES][GUSTS]; /* from the zero, of each of the last seconds */
    uint8_t at, second;
    uint16_t to_second, mean_gust[GUSTS];
    struct pulses wind, flow;
    uint8_t slot, to_slot;
    uint16_t noise[NOISE_SLOTS];
    uint8_t noises[NOISE_SLOTS], noise_slot, to_noise;
} kept;

void readings_start(void)
{
    memset(&kept, 0, sizeof kept);
    kept.to_second = 1000;
    kept.to_slot = SLOT_MS;
    kept.to_noise = NOISE_SLOT_MS;
    for (uint8_t i = 0; i < AXES; i++) {
        for (uint8_t k = 0; k < CURRENT_MS; k++) {
            kept.ring[i][k] = core.station.current_zero[i];
        }
        kept.sum[i] = (uint16_t)(core.station.current_zero[i] * CURRENT_MS);
    }
}

static uint16_t away(uint16_t a, uint16_t b) { return (uint16_t)(a > b ? a - b : b - a); }

static void count_pulses(struct pulses *p, bool closed)
{
    if (closed == ((p->was & 1U) != 0U)) {
        p->steady = 0;
        return;
    }
    p->steady++;
    if (p->steady >= STEADY_MS) {
        p->was = closed ? 1U : 0U;
        p->steady = 0;
        if (closed) {
            p->now++;
        }
    }
}

static void next_slot(struct pulses *p)
{
    p->sum = (uint16_t)(p->sum + p->now - p->slot[kept.slot]);
    p->slot[kept.slot] = p->now;
    p->now = 0;
}

static void tick_currents(void)
{
    for (uint8_t i = 0; i < AXES; i++) {
        const uint16_t now = core.seen.current[i], far = away(now, core.station.current_zero[i]);
        kept.sum[i] = (uint16_t)(kept.sum[i] + now - kept.ring[i][kept.at]);
        kept.ring[i][kept.at] = now;
        if (far > kept.greatest[i][kept.second]) {
            kept.greatest[i][kept.second] = far;
        }
    }
    kept.at = (uint8_t)(kept.at == CURRENT_MS - 1 ? 0 : kept.at + 1);
}

static void tick_noise(void)
{
    kept.noise[kept.noise_slot] = (uint16_t)(kept.noise[kept.noise_slot] + core.seen.noise_sum);
    kept.noises[kept.noise_slot] = (uint8_t)(kept.noises[kept.noise_slot] + core.seen.noise_count);
    kept.to_noise--;
    if (kept.to_noise == 0U) {
        kept.to_noise = NOISE_SLOT_MS;
        kept.noise_slot = (uint8_t)(kept.noise_slot == NOISE_SLOTS - 1 ? 0 : kept.noise_slot + 1);
        kept.noise[kept.noise_slot] = 0;
        kept.noises[kept.noise_slot] = 0;
    }
}

void readings_tick(void)
{
    tick_currents();
    tick_noise();
    count_pulses(&kept.wind, (core.seen.contacts & CONTACT_WIND) != 0U);
    count_pulses(&kept.flow, (core.seen.contacts & CONTACT_FLOW) != 0U);
    kept.to_slot--;
    if (kept.to_slot == 0U) {
        kept.to_slot = SLOT_MS;
        next_slot(&kept.wind);
        next_slot(&kept.flow);
        kept.slot = (uint8_t)(kept.slot == SLOTS - 1 ? 0 : kept.slot + 1);
        if (kept.wind.sum > kept.mean_gust[kept.second]) {
            kept.mean_gust[kept.second] = kept.wind.sum;
        }
    }
    kept.to_second--;
    if (kept.to_second == 0U) {
        kept.to_second = 1000;
        kept.second = (uint8_t)(kept.second == GUSTS - 1 ? 0 : kept.second + 1);
        kept.greatest[AZIMUTH][kept.second] = kept.greatest[ELEVATION][kept.second] = 0;
        kept.mean_gust[kept.second] = 0;
    }
}

static int16_t bounded(int32_t v) { return (int16_t)(v > 32767 ? 32767 : v < -32767 ? -32767 : v); }

static bool has_current(uint8_t axis)
{
    return core.station.axis[axis] != 0U && core.station.current_full[axis] != 0;
}

int16_t readings_current(uint8_t axis)
{
    if (!has_current(axis)) {
        return NOT_FITTED;
    }
    const int32_t steps =
        (int32_t)kept.sum[axis] - (int32_t)core.station.current_zero[axis] * CURRENT_MS; /* 51150 at most */
    return bounded(steps * core.station.current_full[axis] / (1024L * CURRENT_MS));
}

int16_t readings_greatest(uint8_t axis)
{
    uint16_t most = 0;
    if (!has_current(axis)) {
        return NOT_FITTED;
    }
    for (uint8_t i = 0; i < GUSTS; i++) {
        most = kept.greatest[axis][i] > most ? kept.greatest[axis][i] : most;
    }
    const int32_t full = core.station.current_full[axis];
    return bounded((int32_t)most * (full < 0 ? -full : full) / 1024);
}

int32_t readings_detector(void)
{
    uint32_t sum = 0;
    uint16_t n = 0;
    for (uint8_t i = 0; i < NOISE_SLOTS; i++) {
        sum += kept.noise[i];
        n = (uint16_t)(n + kept.noises[i]);
    }
    if (core.station.detector[0] == 0U || n == 0U) {
        return INT32_MIN;
    }
    /* Sixteenths of a step: the mean of hundreds of conversions is finer than one. */
    const int32_t mean = (int32_t)(sum * 16U / n) - (int32_t)core.station.detector_zero[0] * 16;
    return mean / 16 * (int32_t)core.station.detector_uv[0] + mean % 16 * (int32_t)core.station.detector_uv[0] / 16;
}

/* Between the points of a table, which stand 64 steps apart. */
static int16_t by_table(const int16_t *points, uint16_t steps)
{
    const uint8_t i = (uint8_t)(steps / 64U);
    const int32_t from = points[i], to = points[i + 1U];
    return bounded(from + (to - from) * (int32_t)(steps % 64U) / 64);
}

static int16_t input(uint8_t i)
{
    const struct station *s = &core.station;
    const uint16_t steps = core.seen.input[i] & 1023U;
    switch (s->input_table[i]) {
    case 1: return by_table(s->table_1, steps);
    case 2: return by_table(s->table_2, steps);
    default: return bounded(((int32_t)steps - s->input_zero[i]) * s->input_full[i] / 1024);
    }
}

static int16_t wind(uint16_t pulses)
{
    if (core.station.wind_sensor[0] == 0U) {
        return NOT_FITTED;
    }
    return bounded((int32_t)(((uint32_t)pulses * core.station.wind_per_hertz[0] +
                              (pulses != 0U ? core.station.wind_from[0] : 0U)) /
                             10U));
}

static int16_t gust(void)
{
    uint16_t most = 0;
    for (uint8_t i = 0; i < GUSTS; i++) {
        most = kept.mean_gust[i] > most ? kept.mean_gust[i] : most;
    }
    return wind(most);
}

static int16_t sequencer(void)
{
    if (core.station.amplifier[0] == 0U) {
        return NOT_FITTED;
    }
    return (int16_t)((core.seen.contacts & CONTACT_FAULT) != 0U ? 4 : (core.seen.contacts / CONTACT_SEQUENCER) & 3);
}

int16_t readings_at(uint8_t address)
{
    const struct station *s = &core.station;
    for (uint8_t i = 0; i < INPUTS; i++) {
        if (s->input_reading[i] == address && (address != 0x59U || s->wind_sensor[0] != 0U)) {
            return input(i);
        }
    }
    switch (address) {
    case 0x41: /* the reference stays, the supply against which it is measured doesn't */
        return s->reference_mv[0] != 0U && core.seen.reference != 0U
                   ? bounded((int32_t)(s->reference_mv[0] * 1024UL / core.seen.reference))
                   : (int16_t)NOT_FITTED;
    case 0x46: return climate_air();
    case 0x4B: return climate_humidity();
    case 0x4C: return wind(kept.wind.sum);
    case 0x4D: return gust();
    case 0x54:
        return s->flow_sensor[0] != 0U ? bounded((int32_t)((uint32_t)kept.flow.sum * s->flow_per_hertz[0] / 10U))
                                       : (int16_t)NOT_FITTED;
    case 0x57: return sequencer();
    case 0x5B: return readings_greatest(AZIMUTH);
    case 0x5C: return readings_greatest(ELEVATION);
    default: return NOT_FITTED;
    }
}
