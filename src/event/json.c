/* One event as one line of JSON and back, by the table of its members. */
#include <inttypes.h>
#include <jansson.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field.h"
#include "lipwalk/base/clock.h"
#include "lipwalk/base/text.h"

_Static_assert(sizeof(enum lw_mark_kind) == sizeof(int), "FIELD_WORD is read as an int");
#define LONGEST_TEXT LW_PATH_MAX

static json_t *encode_fields(const struct field *field, const char *base, struct lw_error *err);

/* ---- out ---- */

static json_t *encode_text(const struct field *field, const char *at)
{
    char raw[LONGEST_TEXT], clean[LONGEST_TEXT];

    /* Typed text and paths may hold any bytes; JSON only UTF-8. A stray byte in a note must not
     * make the mark unwritable, and control characters would be six bytes each. */
    memcpy(raw, at, field->size);
    raw[field->size - 1] = '\0';
    lw_text_clean(clean, sizeof clean, raw);
    return json_string(clean);
}

static json_t *encode_time(const struct field *field, const char *at, struct lw_error *err)
{
    char text[48];
    int64_t utc_ms, again = 0;

    memcpy(&utc_ms, at, sizeof utc_ms);
    lw_clock_iso(text, sizeof text, utc_ms);
    if (!lw_clock_from_iso(text, &again) || again != utc_ms) {
        lw_fail(err, "the event's \"%s\" (%" PRId64 " ms) is not a time that ISO 8601 can say",
                field->name, utc_ms);
        return NULL;
    }
    return json_string(text);
}

static json_t *encode_id(const char *at)
{
    struct lw_event_id id;
    char text[48];

    memcpy(&id, at, sizeof id);
    if (id.origin == 0 && id.seq == 0)
        return json_null();
    snprintf(text, sizeof text, "%016" PRIx64 "-%" PRIx64, id.origin, id.seq);
    return json_string(text);
}

static json_t *encode_word(const struct field *field, int value, struct lw_error *err)
{
    const char *word = field->word(value);

    if (!word) {
        lw_fail(err, "the event's \"%s\" has no word for the value %d", field->name, value);
        return NULL;
    }
    return json_string(word);
}

/* The value of one member, or NULL: out of memory, or `err` says why. */
static json_t *encode(const struct field *field, const char *at, struct lw_error *err)
{
    double number;
    int whole;
    int64_t span;
    bool flag;

    switch (field->type) {
    case FIELD_DOUBLE:
        memcpy(&number, at, sizeof number);
        return isfinite(number) ? json_real(number) : json_null();
    case FIELD_INT:
        memcpy(&whole, at, sizeof whole);
        return json_integer(whole);
    case FIELD_MS:
        memcpy(&span, at, sizeof span);
        return json_integer(span);
    case FIELD_BOOL:
        memcpy(&flag, at, sizeof flag);
        return json_boolean(flag);
    case FIELD_TEXT:
        return encode_text(field, at);
    case FIELD_TIME:
        return encode_time(field, at, err);
    case FIELD_ID:
        return encode_id(at);
    case FIELD_WORD:
        memcpy(&whole, at, sizeof whole);
        return encode_word(field, whole, err);
    case FIELD_GROUP:
        return encode_fields(field->sub, at, err);
    }
    return NULL;
}

static int add_fields(json_t *object, const struct field *field, const char *base,
                      struct lw_error *err)
{
    for (; field->name; field++)
        if (json_object_set_new(object, field->name, encode(field, base + field->offset, err)))
            return -1;
    return 0;
}

static json_t *encode_fields(const struct field *field, const char *base, struct lw_error *err)
{
    json_t *object = json_object();

    if (object && add_fields(object, field, base, err)) {
        json_decref(object);
        return NULL;
    }
    return object;
}

int lw_event_to_json(const struct lw_event *event, char *to, size_t size, struct lw_error *err)
{
    struct lw_error why = {""};
    json_t *object = encode_fields(event_head_fields(), (const char *)event, &why);
    size_t length = 0;

    if (!object || add_fields(object, event_fields(event->kind), (const char *)event, &why))
        goto done;
    /* 17 digits bring every double back to the bit. */
    length = json_dumpb(object, to, size, JSON_COMPACT | JSON_REAL_PRECISION(17));
    if (length >= size) {
        lw_fail(&why, "the event needs %zu bytes of JSON but there is room for %zu", length + 1,
                size);
        length = 0;
    } else if (length > 0) {
        to[length] = '\0';
    }
done:
    json_decref(object);
    if (length == 0)
        return lw_fail(err, "%s", why.text[0] ? why.text : "no memory left to write an event");
    return 0;
}

/* ---- in ---- */

static int wrong(const struct field *field, const char *expected, struct lw_error *err)
{
    return lw_fail(err, "the event's member \"%s\" should be %s", field->name, expected);
}

static int decode_fields(const struct field *field, const json_t *object, char *base,
                         struct lw_error *err);

static bool id_from_text(const char *text, struct lw_event_id *id)
{
    static const char hex[] = "0123456789abcdef";
    size_t digits;

    if (strspn(text, hex) != 16 || text[16] != '-')
        return false;
    digits = strspn(text + 17, hex);
    if (digits < 1 || digits > 16 || text[17 + digits] != '\0')
        return false;
    id->origin = strtoull(text, NULL, 16);
    id->seq = strtoull(text + 17, NULL, 16);
    return true;
}

static int decode_word(const struct field *field, const json_t *value, char *at,
                       struct lw_error *err)
{
    const char *text = json_string_value(value), *word;

    if (!text)
        return wrong(field, "text", err);
    for (int i = 0; (word = field->word(i)) != NULL; i++)
        if (strcmp(word, text) == 0) {
            memcpy(at, &i, sizeof i);
            return 0;
        }
    return lw_fail(err, "the event's member \"%s\" has the unknown word \"%s\"", field->name, text);
}

static int decode_whole(const struct field *field, const json_t *value, char *at,
                        struct lw_error *err)
{
    const int64_t span = json_integer_value(value);
    const int whole = (int)span;

    if (!json_is_integer(value))
        return wrong(field, "a whole number", err);
    if (field->type == FIELD_MS) {
        memcpy(at, &span, sizeof span);
        return 0;
    }
    if (span < INT_MIN || span > INT_MAX)
        return wrong(field, "a whole number of 32 bits", err);
    memcpy(at, &whole, sizeof whole);
    return 0;
}

/* One member that is there and not null. */
static int decode(const struct field *field, const json_t *value, char *at, struct lw_error *err)
{
    double number;
    int64_t utc_ms;
    bool flag;
    struct lw_event_id id;

    switch (field->type) {
    case FIELD_DOUBLE:
        if (!json_is_number(value))
            return wrong(field, "a number or null", err);
        number = json_number_value(value);
        memcpy(at, &number, sizeof number);
        return 0;
    case FIELD_INT:
    case FIELD_MS:
        return decode_whole(field, value, at, err);
    case FIELD_BOOL:
        if (!json_is_boolean(value))
            return wrong(field, "true or false", err);
        flag = json_is_true(value);
        memcpy(at, &flag, sizeof flag);
        return 0;
    case FIELD_TEXT:
        if (!json_is_string(value))
            return wrong(field, "text", err);
        /* A longer text is cut rather than refused: the mark it belongs to counts more. */
        lw_text_clean(at, field->size, json_string_value(value));
        return 0;
    case FIELD_TIME:
        if (!json_is_string(value) || !lw_clock_from_iso(json_string_value(value), &utc_ms))
            return wrong(field, "a time like \"2026-05-11T17:45:30.250Z\"", err);
        memcpy(at, &utc_ms, sizeof utc_ms);
        return 0;
    case FIELD_ID:
        if (!json_is_string(value) || !id_from_text(json_string_value(value), &id))
            return wrong(field, "an id like \"00c0ffee00c0ffee-1a\"", err);
        memcpy(at, &id, sizeof id);
        return 0;
    case FIELD_WORD:
        return decode_word(field, value, at, err);
    case FIELD_GROUP:
        if (!json_is_object(value))
            return wrong(field, "an object", err);
        return decode_fields(field->sub, value, at, err);
    }
    return -1;
}

static int decode_fields(const struct field *field, const json_t *object, char *base,
                         struct lw_error *err)
{
    for (; field->name; field++) {
        const json_t *value = json_object_get(object, field->name);

        if (value && !json_is_null(value) && decode(field, value, base + field->offset, err))
            return -1;
    }
    return 0;
}

int lw_event_from_json(const char *line, struct lw_event *event, struct lw_error *err)
{
    json_error_t where;
    json_t *object = json_loads(line, JSON_REJECT_DUPLICATES, &where);
    struct lw_event head, got;
    int result = -1;

    if (!json_is_object(object)) {
        if (object)
            lw_fail(err, "an event should be one JSON object");
        else
            lw_fail(err, "the event is not JSON: %s at byte %d", where.text, where.position);
        goto done;
    }
    if (!json_is_string(json_object_get(object, "kind")) ||
        !json_is_string(json_object_get(object, "at_utc"))) {
        lw_fail(err,
                "the event lacks \"kind\" or \"at_utc\" as text: without them it means nothing");
        goto done;
    }
    memset(&head, 0, sizeof head);
    if (decode_fields(event_head_fields(), object, (char *)&head, err))
        goto done;
    got = lw_event_new(head.kind, head.at_utc_ms);
    got.id = head.id;
    memcpy(got.trip, head.trip, sizeof got.trip);
    if (decode_fields(event_fields(got.kind), object, (char *)&got, err))
        goto done;
    *event = got;
    result = 0;
done:
    json_decref(object);
    return result;
}
