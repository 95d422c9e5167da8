/* Where a rehearsal's sentences go: a pseudo-terminal, a TCP port of this machine, or stdout.
 *
 * A reader that is slow, comes late or leaves never holds the boat up: what it does not take is
 * dropped, in whole epochs. Only stdout waits for its reader. */
#ifndef LIPWALK_CMD_OUTLET_H
#define LIPWALK_CMD_OUTLET_H

#include <poll.h>
#include <stddef.h>

#include "lipwalk/base/error.h"

#define OUTLET_CLIENTS 16

struct outlet {
    const char *link;    /* pty: the symbolic link to the slave; NULL: no pty */
    char slave_path[64]; /* pty: "/dev/pts/3" */
    int master, slave;   /* pty; -1 */
    int listener, port;  /* tcp; -1 */
    int client[OUTLET_CLIENTS];
    int clients;
};

void outlet_stdout(struct outlet *outlet);
/* Makes a pty whose slave is raw, mode 0660, group dialout where there is one (so that gpsd may
 * read it after it dropped root), and `link` -> slave. A link to another pty is replaced; whatever
 * else is at `link` is left alone and named in the error. `link` must outlive the outlet. */
int outlet_pty(struct outlet *outlet, const char *link, struct lw_error *err);
/* Listens on 127.0.0.1; port 0 takes a free one and `outlet->port` tells it. */
int outlet_tcp(struct outlet *outlet, int port, struct lw_error *err);
/* Closes all; removes the link if it is still ours. */
void outlet_close(struct outlet *outlet);

/* Fills what to poll() on beside other things; at most OUTLET_CLIENTS + 1. Returns how many. */
int outlet_polls(const struct outlet *outlet, struct pollfd *to);
/* To be called when one of them is ready: takes new clients, drops those that left. */
void outlet_attend(struct outlet *outlet);
/* Sends one epoch. -1 only when stdout's reader is gone or its disk is full. */
int outlet_send(struct outlet *outlet, const char *text, size_t length, struct lw_error *err);

#endif
