/* wire.c - frames between the cell and its parent, the cell's side. */
#include "script/cell/state.h"
#include "script/frames.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

enum { EXIT_WIRE = 74 };

static void read_all(void *to, size_t n)
{
    for (char *at = to; n > 0;) {
        ssize_t got = read(CELL_FD, at, n);
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            _exit(EXIT_WIRE);
        at += got;
        n -= (size_t)got;
    }
}

void cell_send(const wa_value *v)
{
    wa_text frame = WA_TEXT_INIT;
    if (!wa_frame_encode(v, &frame))
        _exit(WA_FRAMES_MEMORY);
    for (size_t done = 0; done < frame.length;) {
        ssize_t put = write(CELL_FD, frame.at + done, frame.length - done);
        if (put < 0 && errno == EINTR)
            continue;
        if (put <= 0)
            _exit(EXIT_WIRE);
        done += (size_t)put;
    }
    wa_text_release(&frame);
}

wa_value *cell_receive(void)
{
    unsigned char head[WA_FRAME_HEAD];
    size_t n;
    wa_value *v = NULL;
    read_all(head, sizeof head);
    if (wa_frame_length(&n, head, NULL) != WA_OK)
        _exit(EXIT_WIRE);
    void *bytes = malloc(n);
    if (bytes == NULL)
        _exit(WA_FRAMES_MEMORY);
    read_all(bytes, n);
    wa_status status = wa_value_decode(&v, bytes, n, NULL);
    free(bytes);
    if (status != WA_OK)
        _exit(status == WA_ERR_NOMEM ? WA_FRAMES_MEMORY : EXIT_WIRE);
    return v;
}

_Noreturn void cell_end_reply(wa_value *reply)
{
    wa_value *message = wa_map();
    if (reply == NULL || !wa_map_set(message, "reply", reply))
        _exit(WA_FRAMES_MEMORY);
    cell_send(message);
    _exit(0);
}
