#include <unistd.h>

#include "body.h"

int body_read(void *p, size_t n)
{
    for (char *to = p; n != 0;) {
        const ssize_t got = read(0, to, n);
        if (got <= 0) {
            return 0;
        }
        to += got;
        n -= (size_t)got;
    }
    return 1;
}

int body_write(const void *p, size_t n)
{
    for (const char *from = p; n != 0;) {
        const ssize_t put = write(1, from, n);
        if (put <= 0) {
            return 0;
        }
        from += put;
        n -= (size_t)put;
    }
    return 1;
}
