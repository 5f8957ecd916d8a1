/* Each pin of pins.def as functions and numbers. The registers PINx and PORTx are the chip's, or variables of whoever
 * stands in for it. */
#ifndef PINS_H
#define PINS_H

#include <stdbool.h>
#include <stdint.h>

enum {
#define PIN(name, port, bit, ...) BIT_##name = (bit),
#include "pins.def"
#undef PIN
};

#define PIN(name, port, bit, ...)                                                                                    \
    static inline bool high_##name(void) { return (PIN##port & (1U << (bit))) != 0U; }                               \
    static inline void set_##name(bool on)                                                                           \
    {                                                                                                                \
        if (on) {                                                                                                    \
            PORT##port = (uint8_t)(PORT##port | (1U << (bit)));                                                      \
        } else {                                                                                                     \
            PORT##port = (uint8_t)(PORT##port & (uint8_t) ~(1U << (bit)));                                           \
        }                                                                                                            \
    }
#include "pins.def"
#undef PIN

#endif
