/* Counts of the encoders, and the drive that is applied. */
#include "parts.h"

void axes_start(void)
{
    for (uint8_t i = 0; i < AXES; i++) {
        const uint8_t n = core.station.speeds[i];
        core.slope[i] = (int32_t)((FULL_DRIVE * 256UL + core.station.ramp_ms[i] / 2U) / core.station.ramp_ms[i]);
        for (uint8_t k = 1; k <= n; k++) {
            core.fixed[i][k] = (int16_t)((uint32_t)k * FULL_DRIVE / n);
        }
    }
}

void axes_count(void)
{
    for (uint8_t i = 0; i < AXES; i++) {
        const struct encoder *e = &core.seen.encoder[i];
        if (core.station.axis[i] == 0U) {
            continue;
        }
        const int16_t moved = (int16_t)(e->position - core.position[i]);
        core.position[i] = e->position;
        core.counts[i] = (int32_t)((uint32_t)core.counts[i] + (uint32_t)(int32_t)moved);
        core.impossible[i] = e->impossible;
        if (moved != 0) {
            core.since_count[i] = 0;
        } else if (core.since_count[i] != 65535U) {
            core.since_count[i]++;
        } else {
            /* stays */
        }
        const uint8_t entries = (uint8_t)(e->entries - core.entries_seen[i]);
        if (entries != 0U && core.station.marks[0] != 0U) {
            core.mark[i] =
                (int32_t)((uint32_t)core.counts[i] + (uint32_t)(int32_t)(int16_t)(e->at_mark - e->position));
            core.entries[i] = (uint16_t)(core.entries[i] + entries);
        }
        core.entries_seen[i] = e->entries;
    }
}

void axes_halt(void)
{
    for (uint8_t i = 0; i < AXES; i++) {
        core.ramp[i] = 0;
        core.applied[i] = 0;
        core.speed[i] = 0;
    }
}

/* What the axis should come to, and no more. */
static int16_t wanted(uint8_t axis)
{
    if (core.station.axis[axis] == 0U) {
        return 0;
    }
    if (rules_by_hand()) {
        const uint8_t buttons = (uint8_t)(core.seen.hand >> (2U * axis)) & 3U;
        const int16_t drive = (int16_t)core.station.hand_drive[axis];
        return (int16_t)(buttons == 1U ? drive : buttons == 2U ? -drive : 0); /* both at once: a fault of the panel */
    }
    if (core.power != POWER_ON || axis_is(core.written[W_ORDERS], ORDER_OFF, axis)) {
        return 0;
    }
    return (int16_t)core.written[W_DEMAND + axis];
}

/* Says whether a drive would go further into an open end; with both open every drive does. */
static bool into_end(uint8_t axis, int32_t drive)
{
    const uint8_t shift = (uint8_t)(2U * axis);
    const bool upper = axis_is(core.seen.state, STATE_UPPER, shift),
               lower = axis_is(core.seen.state, STATE_LOWER, shift);
    return (upper && (drive > 0 || lower)) || (lower && drive < 0);
}

/* The highest fixed speed that isn't above a drive, with its sign. */
static void apply(uint8_t axis, int16_t drive)
{
    const int16_t size = (int16_t)(drive < 0 ? -drive : drive);
    uint8_t k = core.station.speeds[axis];
    core.applied[axis] = drive;
    if (k == 0U) {
        return;
    }
    while (k != 0U && core.fixed[axis][k] > size) {
        k--;
    }
    core.speed[axis] = k;
    core.applied[axis] = (int16_t)(drive < 0 ? -core.fixed[axis][k] : core.fixed[axis][k]);
}

void axes_drive(void)
{
    for (uint8_t i = 0; i < AXES; i++) {
        const int32_t by = (int32_t)wanted(i) * 256 - core.ramp[i], most = core.slope[i];
        int32_t ramp = core.ramp[i] + (by > most ? most : by < -most ? -most : by);
        if (into_end(i, ramp) || (core.power != POWER_ON && !rules_by_hand())) {
            ramp = 0;
        }
        core.ramp[i] = ramp;
        apply(i, (int16_t)(ramp / 256));
    }
}

void axes_heed_ends(void)
{
    for (uint8_t i = 0; i < AXES; i++) {
        if (into_end(i, core.ramp[i]) || (core.power != POWER_ON && !rules_by_hand())) {
            core.ramp[i] = 0;
            apply(i, 0);
        }
    }
}
