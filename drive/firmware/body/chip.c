/* The chip in an emulator, stepped from outside in virtual time:  chip IMAGE.hex
 *
 * This source has the project's licence; built, it is linked with libsimavr and falls under the GPL, version 3 or
 * later. It is built for tests only and never handed out. */
#include <simavr/avr_adc.h>
#include <simavr/avr_eeprom.h>
#include <simavr/avr_extint.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_uart.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_hex.h>
#include <simavr/sim_irq.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "body.h"

/* Data addresses of the chip's registers. */
enum {
    MCUSR_AT = 0x54,
    ADMUX_AT = 0x7C,
    ADCSRB_AT = 0x7B,
    TCCR1A_AT = 0x80,
    ICR1_AT = 0x86,
    OCR1A_AT = 0x88,
    OCR1B_AT = 0x8A
};
enum { LINE = '2', DE_PORT = 'H' - 'A', DE_BIT = 3, RAM_FROM = 0x200, RAM_TO = 0x2200, PAINTED = 2048, PAINT = 0xC5 };

struct vector {
    uint64_t begun, raised;
};

static struct {
    avr_t *avr;
    avr_uart_t *uart;
    avr_ioport_t *port[BODY_PORTS];
    uint8_t held[BODY_PORTS], high[BODY_PORTS]; /* pins that are driven from outside, and their levels */
    struct body_in in;
    struct body_event *event;
    uint32_t next, room;
    uint64_t begin, end;
    int stepping;
    struct body_out out;
    struct vector vector[BODY_VECTORS];
    struct body_measured measured;
    uint16_t painted; /* the stack pointer then */
} chip;

static avr_irq_t *pin(int port, int bit) { return avr_io_getirq(chip.avr, AVR_IOCTL_IOPORT_GETIRQ('A' + port), bit); }

static void nothing(avr_t *avr, const int level, const char *format, va_list v)
{
    (void)avr, (void)level, (void)format, (void)v;
}

/* The emulator would wait in real time. */
static void asleep(avr_t *avr, avr_cycle_count_t cycles)
{
    (void)avr;
    chip.out.slept += cycles;
}

/* What every reset of the emulator loses: its interrupt pins would be polled at each cycle, inputs read 0, and the
 * timer that ends a step is gone. */
static void restore(void)
{
    for (int i = 0; i < 8; i++) {
        avr_extint_set_strict_lvl_trig(chip.avr, (uint8_t)i, 0);
    }
    for (int p = 0; p < BODY_PORTS; p++) {
        if (chip.port[p]) {
            uint8_t *level = &chip.avr->data[chip.port[p]->r_pin];
            *level = (uint8_t)((*level & ~chip.held[p]) | chip.high[p]);
        }
    }
    chip.avr->run_cycle_limit = 1000000;
}

static avr_cycle_count_t happen(avr_t *avr, avr_cycle_count_t when, void *unused);

static avr_cycle_count_t restored(avr_t *avr, avr_cycle_count_t when, void *unused)
{
    (void)when;
    restore();
    if (chip.stepping) {
        happen(avr, avr->cycle, unused);
    }
    return 0;
}

static void on_reset(avr_t *avr)
{
    chip.out.resets++;
    avr_cycle_timer_register(avr, 1, restored, NULL);
}

static void set_pin(const struct body_event *e)
{
    const uint8_t bit = (uint8_t)(1 << e->bit);
    chip.held[e->port] |= bit;
    chip.high[e->port] = (uint8_t)((chip.high[e->port] & ~bit) | (e->value ? bit : 0));
    /* Or a write to the port by the program would lift the pin. */
    avr_ioport_external_t outside = {
        .name = (unsigned)('A' + e->port), .mask = chip.held[e->port], .value = chip.high[e->port]};
    avr_ioctl(chip.avr, AVR_IOCTL_IOPORT_SET_EXTERNAL('A' + e->port), &outside);
    avr_raise_irq(pin(e->port, e->bit), e->value != 0);
}

static void receive(const struct body_event *e)
{
    const unsigned unread = (unsigned)(chip.uart->input.write - chip.uart->input.read + 64) % 64;
    if (unread >= 2) { /* the chip holds two and the one that arrives; the emulator holds many */
        chip.out.overrun++;
        return;
    }
    uint8_t *status = &chip.avr->data[chip.uart->r_ucsra]; /* the emulator knows no parity */
    *status = (uint8_t)(e->value & 0x4000 ? *status | 4 : *status & ~4);
    avr_raise_irq(avr_io_getirq(chip.avr, AVR_IOCTL_UART_GETIRQ(LINE), UART_IRQ_INPUT), e->value & 0x80FF);
}

/* Lets happen what is due, and comes again for the next. */
static avr_cycle_count_t happen(avr_t *avr, avr_cycle_count_t when, void *unused)
{
    (void)when;
    while (chip.stepping && chip.next < chip.in.events && chip.begin + chip.event[chip.next].at <= avr->cycle) {
        const struct body_event *e = &chip.event[chip.next++];
        if (e->kind == BODY_PIN) {
            set_pin(e);
        } else {
            receive(e);
        }
    }
    if (chip.stepping) {
        const uint64_t to = chip.next < chip.in.events ? chip.begin + chip.event[chip.next].at : chip.end;
        avr_cycle_timer_register(avr, to > avr->cycle ? to - avr->cycle : 1, happen, unused);
    }
    return 0;
}

static void on_sent(avr_irq_t *irq, uint32_t value, void *unused)
{
    (void)irq, (void)unused;
    struct body_out *o = &chip.out;
    if (o->sent < BODY_SENT) {
        o->bytes[o->sent] = (uint8_t)value;
        o->sent_at[o->sent] = chip.avr->cycle;
        o->driven[o->sent++] = (chip.avr->data[chip.port[DE_PORT]->r_port] >> DE_BIT) & 1;
    }
}

static void on_driver(avr_irq_t *irq, uint32_t value, void *unused)
{
    (void)irq, (void)unused;
    if (!value) {
        chip.out.released = chip.avr->cycle;
    }
}

/* All channels but the reference are led to the first, which gets here the voltage of the one that is converted. */
static void on_conversion(avr_irq_t *irq, uint32_t value, void *unused)
{
    (void)irq, (void)value, (void)unused;
    const int channel = (chip.avr->data[ADMUX_AT] & 7) | (chip.avr->data[ADCSRB_AT] & 8);
    avr_raise_irq(avr_io_getirq(chip.avr, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_ADC0), chip.in.millivolts[channel]);
}

static void on_running(avr_irq_t *irq, uint32_t running, void *number)
{
    (void)irq;
    const size_t v = (size_t)number;
    struct vector *at = &chip.vector[v];
    const uint64_t now = chip.avr->cycle;
    if (running) {
        at->begun = now;
        if (at->raised && now - at->raised > chip.measured.vector[v].waited) {
            chip.measured.vector[v].waited = now - at->raised;
        }
        at->raised = 0;
        return;
    }
    const uint64_t took = now - at->begun;
    chip.measured.vector[v].count++;
    chip.measured.vector[v].total += took;
    if (took > chip.measured.vector[v].longest) {
        chip.measured.vector[v].longest = took;
    }
}

static void on_pending(avr_irq_t *irq, uint32_t pending, void *number)
{
    (void)irq;
    struct vector *at = &chip.vector[(size_t)number];
    if (pending && !at->raised) {
        at->raised = chip.avr->cycle;
    }
}

static void find_parts(void)
{
    for (avr_io_t *io = chip.avr->io_port; io; io = io->next) {
        if (!strcmp(io->kind, "uart") && ((avr_uart_t *)io)->name == LINE) {
            chip.uart = (avr_uart_t *)io;
        } else if (!strcmp(io->kind, "port")) {
            chip.port[((avr_ioport_t *)io)->name - 'A'] = (avr_ioport_t *)io;
        } else if (!strcmp(io->kind, "adc")) {
            for (int m = 0; m < 64; m++) {
                if (m != 30 && m != 31) {
                    ((avr_adc_t *)io)->muxmode[m] = (avr_adc_mux_t){.kind = ADC_MUX_SINGLE, .src = 0};
                }
            }
        }
    }
}

static void listen(void)
{
    avr_t *a = chip.avr;
    for (char u = '0'; u < '4'; u++) { /* neither its pauses nor its copy on the console */
        uint32_t flags = 0;
        avr_ioctl(a, AVR_IOCTL_UART_SET_FLAGS(u), &flags);
    }
    avr_irq_register_notify(avr_io_getirq(a, AVR_IOCTL_UART_GETIRQ(LINE), UART_IRQ_OUTPUT), on_sent, NULL);
    avr_irq_register_notify(pin(DE_PORT, DE_BIT), on_driver, NULL);
    avr_irq_register_notify(avr_io_getirq(a, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_OUT_TRIGGER), on_conversion, NULL);
    for (size_t v = 1; v < BODY_VECTORS; v++) {
        avr_irq_t *irq = avr_get_interrupt_irq(a, (uint8_t)v);
        if (irq) {
            avr_irq_register_notify(irq + AVR_INT_IRQ_RUNNING, on_running, (void *)v);
            avr_irq_register_notify(irq + AVR_INT_IRQ_PENDING, on_pending, (void *)v);
        }
    }
}

static int start(const char *image)
{
    uint32_t size, from;
    avr_global_logger_set(nothing);
    avr_t *a = chip.avr = avr_make_mcu_by_name("atmega2560");
    uint8_t *code = read_ihex_file(image, &size, &from);
    if (!a || !code) {
        fprintf(stderr, "chip: no image %s, or an emulator without this chip\n", image);
        return 0;
    }
    avr_init(a);
    a->frequency = HERTZ;
    a->vcc = a->avcc = a->aref = 5000;
    a->sleep = asleep;
    avr_loadcode(a, code, size, from);
    free(code);
    find_parts();
    listen();
    a->reset = on_reset;
    restore();
    return 1;
}

static uint16_t word(int at) { return (uint16_t)(chip.avr->data[at] | chip.avr->data[at + 1] << 8); }

static void look(int state)
{
    struct body_out *o = &chip.out;
    const uint8_t *d = chip.avr->data, timer = d[TCCR1A_AT];
    o->version = BODY_VERSION;
    o->cycle = chip.avr->cycle;
    o->state = state == cpu_Done ? 1 : state == cpu_Crashed ? 2 : 0;
    o->character = (uint32_t)chip.uart->cycles_per_byte;
    o->period = (uint16_t)(word(ICR1_AT) + 1);
    o->duty[0] = timer & 0x80 ? (uint16_t)(word(OCR1A_AT) + 1) : 0;
    o->duty[1] = timer & 0x20 ? (uint16_t)(word(OCR1B_AT) + 1) : 0;
    for (int p = 0; p < BODY_PORTS; p++) {
        if (chip.port[p]) {
            o->output[p] = d[chip.port[p]->r_ddr];
            o->level[p] = d[chip.port[p]->r_port] & o->output[p];
        }
    }
}

static int step(void)
{
    if (chip.in.events > chip.room) {
        chip.room = chip.in.events;
        chip.event = realloc(chip.event, chip.room * sizeof *chip.event);
    }
    if (!body_read(chip.event, chip.in.events * sizeof *chip.event)) {
        return cpu_Crashed;
    }
    int state = cpu_Running;
    chip.end = chip.begin + chip.in.value;
    chip.next = 0;
    chip.stepping = 1;
    happen(chip.avr, chip.avr->cycle, NULL);
    while (chip.avr->cycle < chip.end && state != cpu_Done && state != cpu_Crashed) {
        state = avr_run(chip.avr);
    }
    avr_cycle_timer_cancel(chip.avr, happen, NULL);
    chip.stepping = 0;
    chip.begin = chip.end; /* what one step runs over, the next runs less */
    return state;
}

/* One place at the very end of the program memory that jumps to itself. */
static void hang(int without_interrupts)
{
    const avr_flashaddr_t at = chip.avr->flashend - 1;
    chip.avr->flash[at] = 0xFF;
    chip.avr->flash[at + 1] = 0xCF;
    chip.avr->pc = at;
    chip.avr->state = cpu_Running;
    if (without_interrupts) {
        chip.avr->sreg[S_I] = 0;
    }
}

static void fill(uint32_t seed)
{
    for (int i = RAM_FROM; i < RAM_TO; i++) {
        seed = seed * 1664525 + 1013904223;
        chip.avr->data[i] = (uint8_t)(seed >> 24);
    }
}

static void paint(void)
{
    chip.painted = word(R_SPL);
    memset(chip.avr->data + chip.painted - PAINTED, PAINT, PAINTED - 1);
    memset(&chip.measured, 0, sizeof chip.measured);
}

static void measure(void)
{
    int at = chip.painted - PAINTED;
    while (at < RAM_TO && chip.avr->data[at] == PAINT) {
        at++;
    }
    chip.measured.stack = (uint32_t)(RAM_TO - at);
}

static int obey(void)
{
    uint8_t kept[BODY_EEPROM];
    avr_eeprom_desc_t eeprom = {.ee = kept, .offset = 0, .size = BODY_EEPROM};
    switch (chip.in.order) {
    case BODY_STEP: return step();
    case BODY_RESET:
        avr_reset(chip.avr);
        chip.out.resets--; /* not its own */
        chip.avr->data[MCUSR_AT] = (uint8_t)chip.in.value;
        chip.avr->state = cpu_Running;
        break;
    case BODY_KEEP:
        if (body_read(kept, sizeof kept)) {
            avr_ioctl(chip.avr, AVR_IOCTL_EEPROM_SET, &eeprom);
        }
        break;
    case BODY_FILL: fill(chip.in.value); break;
    case BODY_HANG: hang(chip.in.value == 2); break;
    case BODY_PAINT: paint(); break;
    case BODY_MEASURED: measure(); break;
    default: break;
    }
    return chip.avr->state;
}

int main(int count, char **argument)
{
    if (count != 2 || !start(argument[1])) {
        return 2;
    }
    while (body_read(&chip.in, sizeof chip.in)) {
        chip.out.sent = 0;
        look(obey());
        if (!body_write(&chip.out, sizeof chip.out)) {
            break;
        }
        uint8_t kept[BODY_EEPROM];
        avr_eeprom_desc_t eeprom = {.ee = kept, .offset = 0, .size = BODY_EEPROM};
        if (chip.in.order == BODY_KEPT) {
            avr_ioctl(chip.avr, AVR_IOCTL_EEPROM_GET, &eeprom);
            body_write(kept, sizeof kept);
        }
        if (chip.in.order == BODY_MEASURED) {
            body_write(&chip.measured, sizeof chip.measured);
        }
    }
    return 0;
}
