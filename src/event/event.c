/* Ids of events, and blank ones. */
#include "lipwalk/event/event.h"

#include <math.h>
#include <string.h>

#include "field.h"

bool lw_event_id_same(struct lw_event_id a, struct lw_event_id b)
{
    return a.origin == b.origin && a.seq == b.seq;
}

static void make_unknown(const struct field *field, char *base)
{
    const double unknown = NAN;

    for (; field->name; field++) {
        if (field->type == FIELD_DOUBLE)
            memcpy(base + field->offset, &unknown, sizeof unknown);
        else if (field->type == FIELD_GROUP)
            make_unknown(field->sub, base + field->offset);
    }
}

struct lw_event lw_event_new(enum lw_event_kind kind, int64_t at_utc_ms)
{
    struct lw_event event;

    memset(&event, 0, sizeof event);
    event.kind = kind;
    event.at_utc_ms = at_utc_ms;
    make_unknown(event_fields(kind), (char *)&event);
    return event;
}
