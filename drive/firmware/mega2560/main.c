/* The enclosure on an ATmega2560 at 16 MHz. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/pgmspace.h>
#include <avr/wdt.h>

#include "../core/core.h"
#include "../core/serve.h"
#include "../core/starts.h"
#include "board.h"
#include "contacts.h"

/* The station's table: found by its mark and replaced in the image before it is written to the board. */
extern const struct station_block station_block;

static struct station station;
static struct seen seen;
static struct done done;

/* Outputs are low before they are outputs; contacts have the chip's pull-up. */
static void pins_start(void)
{
#define CONTACT(port, bit) PORT##port = (uint8_t)(PORT##port | (1U << (bit)));
#define TRACK(port, bit) CONTACT(port, bit)
#define OUT(port, bit) DDR##port = (uint8_t)(DDR##port | (1U << (bit)));
#define PWM(port, bit) OUT(port, bit)
#define LINE(port, bit)
#define ANALOG(port, bit)
#define WIRE(port, bit)
#define PIN(name, port, bit, kind, ...) kind(port, bit)
#include "pins.def"
#undef PIN
}

/* An open-drain pin: low, or left to its pull-up. */
static void wires(void)
{
    DDRD = (uint8_t)((DDRD & (uint8_t) ~(_BV(BIT_SCL) | _BV(BIT_SDA))) | (done.scl_low ? _BV(BIT_SCL) : 0U) |
                     (done.sda_low ? _BV(BIT_SDA) : 0U));
}

static void apply(void)
{
    bridges_apply(&station, &done);
    set_outputs(&done);
    wires();
}

static void tick(void)
{
    bridges_encoders(seen.encoder);
    seen.state = state_of_contacts(&station);
    seen.contacts = other_contacts();
    seen.hand = hand_buttons();
    converter_take(&seen);
    core_tick(&seen, &done);
    apply();
}

/* A restart by the watchdog on purpose, to see that the boot loader lets the board come up again: with both buttons
 * of elevation held at a start that isn't such a restart already. No output is on yet. */
static void try_watchdog(void)
{
    if ((start_cause & _BV(WDRF)) == 0U && (hand_buttons() & 0x0CU) == 0x0CU) {
        for (;;) {}
    }
}

int main(void)
{
    static struct station_block block;
    uint16_t starts;
    pins_start();
    memcpy_P(&block, &station_block, sizeof block);
    (void)station_take(&station, &block);
    const bool kept = starts_next(&starts);
    core_start(&station, starts, kept);
    clock_start();
    bridges_start(&station);
    converter_start();
    line_start(&station);
    wdt_enable(WDTO_30MS);
    try_watchdog();
    sei();
    for (;;) {
        const bool due = clock_idle();
        if (due) {
            tick();
            wdt_reset();
        }
        if (serve(due, &done)) {
            apply();
        }
    }
}
