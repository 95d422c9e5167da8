/* The members of each kind of event. A member added to event.h needs its row here. */
#include "field.h"

#define SIZE_OF(type, member) sizeof(((type *)NULL)->member)
#define PART(struct_type, name, type, member)                                                      \
    {                                                                                              \
        name, type, offsetof(struct_type, member), SIZE_OF(struct_type, member), NULL, NULL        \
    }
#define ROW(name, type, member) PART(struct lw_event, name, type, member)
#define WORD(name, member, word)                                                                   \
    {                                                                                              \
        name, FIELD_WORD, offsetof(struct lw_event, member), SIZE_OF(struct lw_event, member),     \
            word, NULL                                                                             \
    }
#define GROUP(struct_type, name, member, sub)                                                      \
    {                                                                                              \
        name, FIELD_GROUP, offsetof(struct_type, member), SIZE_OF(struct_type, member), NULL, sub  \
    }
#define END                                                                                        \
    {                                                                                              \
        NULL, FIELD_INT, 0, 0, NULL, NULL                                                          \
    }

static const char *kind_word(int value)
{
    return lw_event_kind_name((enum lw_event_kind)value);
}

static const char *mark_word(int value)
{
    const struct lw_mark_info *info = lw_mark_info((enum lw_mark_kind)value);

    return info ? info->name : NULL;
}

static const char *act_word(int value)
{
    static const char *const words[] = {
        [LW_RETURN_DONE] = "done", [LW_RETURN_SNOOZE] = "snooze", [LW_RETURN_DROP] = "drop"};

    return (size_t)value < sizeof words / sizeof *words ? words[value] : NULL;
}

static const char *step_word(int value)
{
    static const char *const words[] = {[LW_CALL_RIPE] = "ripe",
                                        [LW_CALL_DUE] = "due",
                                        [LW_CALL_LATE] = "late",
                                        [LW_CALL_NEAR] = "near"};

    return (size_t)value < sizeof words / sizeof *words ? words[value] : NULL;
}

static const struct field place_fields[] = {
    PART(struct lw_ll, "lat", FIELD_DOUBLE, lat_deg),
    PART(struct lw_ll, "lon", FIELD_DOUBLE, lon_deg),
    END,
};
static const struct field where_fields[] = {
    GROUP(struct lw_where, "at", at, place_fields),
    PART(struct lw_where, "age_s", FIELD_DOUBLE, age_s),
    PART(struct lw_where, "sigma_m", FIELD_DOUBLE, sigma_m),
    PART(struct lw_where, "along_m", FIELD_DOUBLE, along_m),
    PART(struct lw_where, "off_m", FIELD_DOUBLE, off_m),
    END,
};
#define WHERE(member) GROUP(struct lw_event, "where", member, where_fields)

static const struct field head_fields[] = {
    ROW("id", FIELD_ID, id),
    ROW("trip_id", FIELD_TEXT, trip),
    ROW("at_utc", FIELD_TIME, at_utc_ms),
    WORD("kind", kind, kind_word),
    END,
};
static const struct field trip_fields[] = {
    ROW("name", FIELD_TEXT, u.trip.name),         ROW("map", FIELD_TEXT, u.trip.map),
    ROW("plan", FIELD_TEXT, u.trip.plan),         ROW("angler", FIELD_TEXT, u.trip.crew[0]),
    ROW("co_angler", FIELD_TEXT, u.trip.crew[1]), END,
};
static const struct field track_fields[] = {
    WHERE(u.track.where),
    ROW("sog_mps", FIELD_DOUBLE, u.track.sog_mps),
    ROW("cog_deg", FIELD_DOUBLE, u.track.cog_deg),
    ROW("heading_deg", FIELD_DOUBLE, u.track.heading_deg),
    ROW("depth_m", FIELD_DOUBLE, u.track.depth_m),
    ROW("water_c", FIELD_DOUBLE, u.track.water_c),
    ROW("wind_mps", FIELD_DOUBLE, u.track.wind_mps),
    ROW("wind_from_deg", FIELD_DOUBLE, u.track.wind_from_deg),
    END,
};
static const struct field mark_fields[] = {
    WORD("mark", u.mark.kind, mark_word),
    ROW("who", FIELD_INT, u.mark.who),
    ROW("who_name", FIELD_TEXT, u.mark.who_name),
    WHERE(u.mark.where),
    GROUP(struct lw_event, "bait", u.mark.bait, place_fields),
    ROW("bait_from_cast", FIELD_BOOL, u.mark.bait_from_cast),
    ROW("station", FIELD_INT, u.mark.station),
    ROW("cast", FIELD_INT, u.mark.cast),
    ROW("depth_m", FIELD_DOUBLE, u.mark.depth_m),
    ROW("map_depth_m", FIELD_DOUBLE, u.mark.map_depth_m),
    ROW("water_c", FIELD_DOUBLE, u.mark.water_c),
    ROW("wind_mps", FIELD_DOUBLE, u.mark.wind_mps),
    ROW("wind_from_deg", FIELD_DOUBLE, u.mark.wind_from_deg),
    ROW("note", FIELD_TEXT, u.mark.note),
    END,
};
static const struct field words_fields[] = {
    ROW("target", FIELD_ID, u.words.target),
    ROW("text", FIELD_TEXT, u.words.text),
    END,
};
static const struct field undo_fields[] = {
    ROW("target", FIELD_ID, u.undo.target),
    END,
};
static const struct field cast_fields[] = {
    ROW("station", FIELD_INT, u.cast.station),
    ROW("cast", FIELD_INT, u.cast.cast),
    ROW("assumed", FIELD_BOOL, u.cast.assumed),
    ROW("who", FIELD_INT, u.cast.who),
    WHERE(u.cast.where),
    GROUP(struct lw_event, "landing", u.cast.landing, place_fields),
    END,
};
static const struct field return_fields[] = {
    ROW("place", FIELD_ID, u.ret.place),
    WORD("act", u.ret.act, act_word),
    ROW("snooze_s", FIELD_DOUBLE, u.ret.snooze_s),
    END,
};
static const struct field call_fields[] = {
    ROW("place", FIELD_ID, u.call.place),
    WORD("step", u.call.step, step_word),
    ROW("target_utc", FIELD_TIME, u.call.target_utc_ms),
    END,
};
static const struct field setting_fields[] = {
    ROW("name", FIELD_TEXT, u.setting.name),
    ROW("value", FIELD_DOUBLE, u.setting.value),
    ROW("text", FIELD_TEXT, u.setting.text),
    END,
};
static const struct field plan_fields[] = {
    ROW("path", FIELD_TEXT, u.plan.path),
    END,
};
static const struct field drive_fields[] = {
    ROW("start", FIELD_BOOL, u.drive.start),
    END,
};
static const struct field freeze_fields[] = {
    ROW("on", FIELD_BOOL, u.freeze.on),
    WHERE(u.freeze.where),
    END,
};
static const struct field clock_fields[] = {
    ROW("step_ms", FIELD_MS, u.clock.step_ms),
    END,
};
static const struct field no_fields[] = {END};

const struct field *event_head_fields(void)
{
    return head_fields;
}

const struct field *event_fields(enum lw_event_kind kind)
{
    static const struct field *const of_kind[LW_EV_KINDS] = {
        [LW_EV_TRIP] = trip_fields,       [LW_EV_TRIP_END] = no_fields,
        [LW_EV_TRACK] = track_fields,     [LW_EV_MARK] = mark_fields,
        [LW_EV_WORDS] = words_fields,     [LW_EV_UNDO] = undo_fields,
        [LW_EV_CAST] = cast_fields,       [LW_EV_DWELL_END] = no_fields,
        [LW_EV_RETURN] = return_fields,   [LW_EV_CALL] = call_fields,
        [LW_EV_SETTING] = setting_fields, [LW_EV_PLAN] = plan_fields,
        [LW_EV_DRIVE] = drive_fields,     [LW_EV_FREEZE] = freeze_fields,
        [LW_EV_CLOCK] = clock_fields,
    };

    return (size_t)kind < LW_EV_KINDS ? of_kind[kind] : no_fields;
}
