#include <avr/io.h>
#include <avr/wdt.h>

#include "board.h"

uint8_t start_cause __attribute__((section(".noinit")));

/* Before anything else: after a restart by the watchdog it still runs, at its shortest period. */
__attribute__((naked, used, section(".init3"))) void start_early(void);
void start_early(void)
{
    start_cause = MCUSR;
    MCUSR = 0;
    wdt_disable();
}
