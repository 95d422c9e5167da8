/* The members of each kind of event as data: one table that new events, the writer and the reader
 * of JSON walk. */
#ifndef LIPWALK_SRC_EVENT_FIELD_H
#define LIPWALK_SRC_EVENT_FIELD_H

#include <stddef.h>

#include "lipwalk/event/event.h"

enum field_type {
    FIELD_DOUBLE, /* JSON: number, or null for NaN */
    FIELD_INT,    /* int: number */
    FIELD_MS,     /* int64_t, a span: number */
    FIELD_BOOL,
    FIELD_TEXT, /* char[size] */
    FIELD_TIME, /* int64_t, UTC ms: ISO 8601 */
    FIELD_ID,   /* struct lw_event_id: "origin-seq" in hex, or null for no event */
    FIELD_WORD, /* an enum: its word */
    FIELD_GROUP /* a struct: an object of the members `sub` */
};

struct field {
    const char *name; /* NULL ends a table */
    enum field_type type;
    size_t offset;            /* in struct lw_event, or in the struct of its group */
    size_t size;              /* of the member */
    const char *(*word)(int); /* FIELD_WORD: the word of a value, NULL past the last */
    const struct field *sub;  /* FIELD_GROUP */
};

/* What every event has: id, trip, at_utc, kind. */
const struct field *event_head_fields(void);
/* What that kind has beside it. */
const struct field *event_fields(enum lw_event_kind kind);

#endif
