#include "serve.h"

#include "frame.h"

static uint8_t reply[FRAME_MOST];
static uint16_t waiting; /* length of the reply that waits to leave, 0 for none */
static bool again;       /* the last look came to something: there may be more */

static bool look(struct done *done)
{
    const uint8_t *request;
    uint16_t length;
    /* One place at a time, so that a run of rubbish holds up no tick. */
    const uint8_t quiet_ms = line_quiet_ms();
    const enum look found = frame_look(quiet_ms, &request, &length);
    again = found == LOOK_AGAIN;
    if (found != LOOK_REQUEST) {
        return false;
    }
    line_deafen();
    waiting = core_answer(request, length, reply, done);
    if (quiet_ms < FRAME_UNFINISHED_MS) {
        frame_forget(); /* what is held behind it has come while it was looked at */
    }
    return true;
}

bool serve(bool ticked, struct done *done)
{
    bool more = ticked || again;
    uint8_t byte;
    if (line_busy()) {
        return false;
    }
    if (waiting != 0U) {
        if (line_quiet_ms() >= core_reply_ms()) {
            line_send(reply, waiting);
            waiting = 0;
        }
        return false;
    }
    while (line_get(&byte)) {
        frame_put(byte);
        more = true;
    }
    return more && look(done);
}
