/* What the parts of the core know of each other. */
#ifndef PARTS_H
#define PARTS_H

#include "core.h"

enum { WRITTEN = 16, FIRST_WRITTEN = 0x10, REGISTERS = 0x60 };

/* Places of the written registers, from 0010 on. */
enum { W_SEQUENCE, W_ORDERS, W_DEMAND, W_WATCHDOG = 4, W_CLEAR, W_OUTPUTS = 8, W_BAND, W_FEED };

/* Bits of 0011. */
enum { ORDER_POWER = 0x01, ORDER_PERMIT = 0x04, ORDER_OFF = 0x08, ORDER_WARNING = 0x20, ORDERS = 0x3D };

/* Bits of 002E. */
enum {
    TRIP_WATCHDOG = 0x001,
    TRIP_FAULT = 0x002, /* of azimuth; elevation one bit higher, as with the encoder's */
    TRIP_STARTED = 0x008,
    TRIP_STOP = 0x010,
    TRIP_HAND = 0x020,
    TRIP_POWER = 0x040,
    TRIP_ENCODER = 0x080,
    TRIPS = 0x1FF
};

/* off -> coming by an order; coming -> on when the supply is there, -> off by an order or a trip; on -> off likewise.
 */
enum power { POWER_OFF, POWER_COMING, POWER_ON };

struct core {
    struct station station;
    struct seen seen;
    uint16_t fitted, starts;
    uint32_t ms, seconds;
    uint16_t to_second;

    /* rules.c */
    uint16_t written[WRITTEN];
    enum power power;
    bool permit;
    uint8_t outputs, band, lost; /* lost: a bit an axis, counts not to be trusted */
    uint16_t trips;
    uint32_t fed, fed_ever, coming, changed, driven[AXES];
    uint16_t since_count[AXES], since_keyed;

    /* axes.c */
    int32_t counts[AXES], mark[AXES];
    uint16_t position[AXES], entries[AXES], impossible[AXES];
    uint8_t entries_seen[AXES];
    int32_t ramp[AXES], slope[AXES]; /* drive * 256 */
    int16_t applied[AXES], fixed[AXES][5];
    uint8_t speed[AXES];
};

extern struct core core;

/* rules.c */
void rules_start(void);
void rules_tick(void);
bool rules_by_hand(void);
bool rules_braked(uint8_t axis);
bool rules_may_write(uint8_t place, uint16_t value);
/* Takes written registers in, which all may be written. */
void rules_write(uint8_t place, uint8_t count, const uint8_t *values);

/* axes.c */
void axes_start(void);
void axes_count(void);
void axes_drive(void);     /* by what was seen and ordered before this tick */
void axes_heed_ends(void); /* by what is seen now */
void axes_halt(void);
static inline bool axis_is(uint16_t bits, uint16_t bit_of_azimuth, uint8_t shift)
{
    return (bits & (uint16_t)(bit_of_azimuth << shift)) != 0U;
}

/* readings.c */
void readings_start(void);
void readings_tick(void);
int16_t readings_current(uint8_t axis);
int16_t readings_greatest(uint8_t axis);
int32_t readings_detector(void);
int16_t readings_at(uint8_t address);

/* climate.c: the I2C sensor */
void climate_start(void);
void climate_tick(bool fitted, bool sda);
bool climate_scl_low(void);
bool climate_sda_low(void);
int16_t climate_air(void);
int16_t climate_humidity(void);

/* map.c */
uint16_t map_register(uint8_t address);

#endif
