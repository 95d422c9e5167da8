/* Soundings in GPX: a depth is an extension of its own of each publisher, told by its name alone.
 */
#include <libxml/xmlreader.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "lipwalk/base/array.h"
#include "lipwalk/base/text.h"
#include "table_points.h"

#define DEPTH_TEXT_MAX 64

struct place {
    struct lw_ll at;
    double depth;            /* as written; NaN none */
    enum lw_depth_unit unit; /* that stands with the depth */
    bool bad;
};
struct gpx_job {
    const struct lw_map_file *file;
    const char *wanted; /* local name of the element with the depth; NULL: told by its name */
    char name[64];      /* of the element that is taken */
    char rival[64];     /* another that could be meant as well */
    xmlTextReaderPtr xml;
    struct place *place;
    size_t places, cap;
    char fault[200]; /* the XML library's first word of an error */
};

static void keep_fault(void *context, xmlErrorPtr error)
{
    struct gpx_job *job = context;
    char text[160];

    if (*job->fault || error->level < XML_ERR_ERROR)
        return;
    lw_text_copy(text, sizeof text, error->message ? error->message : "");
    text[strcspn(text, "\n")] = '\0';
    lw_text_clean(job->fault, sizeof job->fault, text);
    lw_text_add(job->fault, sizeof job->fault, " in line %d", error->line);
}

static double attribute(struct gpx_job *job, const char *name)
{
    xmlChar *text = xmlTextReaderGetAttribute(job->xml, BAD_CAST name);
    double value = NAN;

    if (!text || !lw_text_to_number((const char *)text, &value))
        value = NAN;
    xmlFree(text);
    return value;
}

static int add_place(struct gpx_job *job)
{
    struct place place = {{attribute(job, "lat"), attribute(job, "lon")}, NAN, LW_UNIT_NONE, false};

    if (place.at.lon_deg > 180 && place.at.lon_deg <= 360)
        place.at.lon_deg -= 360;
    place.bad = !lw_ll_known(place.at);
    if (lw_array_room(&job->place, job->places, &job->cap))
        return -1;
    job->place[job->places++] = place;
    return 0;
}

static enum lw_depth_unit unit_attribute(struct gpx_job *job)
{
    static const char *const names[] = {"unit", "units", "uom"};
    enum lw_depth_unit unit = LW_UNIT_NONE;

    for (size_t i = 0; i < sizeof names / sizeof *names && unit == LW_UNIT_NONE; i++) {
        xmlChar *text = xmlTextReaderGetAttribute(job->xml, BAD_CAST names[i]);

        if (text)
            unit = lw_depth_unit_from((const char *)text);
        xmlFree(text);
    }
    return unit;
}

static bool is_point(const char *name)
{
    return strcmp(name, "trkpt") == 0 || strcmp(name, "wpt") == 0 || strcmp(name, "rtept") == 0;
}

/* Whether the depth is read from elements of this name. Those called just "depth" win over any
 * others about depths: loggers write max_depth or a depth_change beside it. */
static bool is_depth(struct gpx_job *job, const char *name)
{
    int rank = lw_depth_rank(name);

    if (job->wanted)
        return strcasecmp(name, job->wanted) == 0;
    if (rank < 1 || rank > 3)
        return false;
    if (strncasecmp(name, job->name, sizeof job->name - 1) == 0)
        return true;
    if (strcasecmp(job->name, "depth") == 0)
        return false;
    if (*job->name && strcasecmp(name, "depth") != 0) {
        lw_text_copy(job->rival, sizeof job->rival, name);
        return false;
    }
    lw_text_copy(job->name, sizeof job->name, name);
    for (size_t i = 0; i < job->places; i++) {
        job->place[i].depth = NAN;
        job->place[i].bad = !lw_ll_known(job->place[i].at);
    }
    return true;
}

/* Gathers the text of the element that has just begun. */
static int element_text(struct gpx_job *job, char text[DEPTH_TEXT_MAX])
{
    int depth = xmlTextReaderDepth(job->xml), more = 1;

    *text = '\0';
    if (xmlTextReaderIsEmptyElement(job->xml))
        return 1;
    while ((more = xmlTextReaderRead(job->xml)) == 1 && xmlTextReaderDepth(job->xml) > depth) {
        int type = xmlTextReaderNodeType(job->xml);
        const xmlChar *value = xmlTextReaderConstValue(job->xml);

        if ((type == XML_READER_TYPE_TEXT || type == XML_READER_TYPE_CDATA) && value)
            lw_text_add(text, DEPTH_TEXT_MAX, "%s", (const char *)value);
    }
    return more;
}

/* Goes through the file; 0 at its end, -1 where it breaks off or memory ran out. */
static int walk(struct gpx_job *job, bool *memory)
{
    int more, within = -1; /* the depth of the point's element in the tree */
    bool is_gpx = false;

    while ((more = xmlTextReaderRead(job->xml)) == 1) {
        int type = xmlTextReaderNodeType(job->xml), depth = xmlTextReaderDepth(job->xml);
        const char *name = (const char *)xmlTextReaderConstLocalName(job->xml);
        struct place *last = job->places ? &job->place[job->places - 1] : NULL;
        char text[DEPTH_TEXT_MAX];
        enum lw_depth_unit unit = LW_UNIT_NONE;

        if (within >= 0 && depth <= within)
            within = -1;
        if (type != XML_READER_TYPE_ELEMENT || !name)
            continue;
        if (!is_gpx && strcmp(name, "gpx") != 0) {
            snprintf(job->fault, sizeof job->fault, "its root element is not gpx");
            return -1;
        }
        is_gpx = true;
        if (within < 0 && is_point(name)) {
            if (add_place(job)) {
                *memory = true;
                return -1;
            }
            within = xmlTextReaderIsEmptyElement(job->xml) ? -1 : depth;
        } else if (within >= 0 && last && is_depth(job, name) && isnan(last->depth)) {
            last->unit = unit_attribute(job);
            more = element_text(job, text);
            if (!lw_text_to_number(text, &last->depth) &&
                !lw_depth_text(text, &last->depth, &unit)) {
                last->depth = NAN;
                last->bad = last->bad || *lw_text_trim(text);
            }
            if (unit != LW_UNIT_NONE)
                last->unit = unit;
            if (more != 1)
                break;
        }
    }
    return more == 0 ? 0 : -1;
}

/* One unit for all depths: those that name another than the rest, or than the one given, are turned
 * into it. */
static enum lw_depth_unit common_unit(struct gpx_job *job, enum lw_depth_unit given, size_t *turned)
{
    enum lw_depth_unit common = given;
    bool any = given != LW_UNIT_NONE, mixed = false;

    *turned = 0;
    for (size_t i = 0; i < job->places; i++) {
        enum lw_depth_unit unit = job->place[i].unit;

        if (isnan(job->place[i].depth) || (given != LW_UNIT_NONE && unit == LW_UNIT_NONE))
            continue;
        mixed = mixed || (any && unit != common);
        common = any ? common : unit;
        any = true;
    }
    if (!mixed)
        return common;
    common = given != LW_UNIT_NONE ? given : LW_UNIT_M; /* as all lengths in GPX 1.1 */
    for (size_t i = 0; i < job->places; i++) {
        struct place *p = &job->place[i];

        if (isnan(p->depth) || p->unit == LW_UNIT_NONE || p->unit == common)
            continue;
        p->depth *= lw_depth_unit_m(p->unit) / lw_depth_unit_m(common);
        ++*turned;
    }
    return common;
}

static int make_rule(struct gpx_job *job, const char *name, struct lw_depth_rule *rule,
                     size_t *turned, struct lw_error *err)
{
    struct lw_map_file file = *job->file;
    double *value = malloc((job->places + 1) * sizeof *value);
    struct lw_depth_column column = {name, value, job->places, LW_UNIT_NONE};
    bool metres;
    int status;

    if (!value)
        return lw_fail(err, "out of memory");
    column.unit = common_unit(
        job, file.depth_unit ? lw_depth_unit_from(file.depth_unit) : LW_UNIT_NONE, turned);
    metres = column.unit == LW_UNIT_NONE && lw_depth_unit_of_name(name) == LW_UNIT_NONE;
    for (size_t i = 0; i < job->places; i++)
        value[i] = lw_table_none(job->place[i].depth) ? NAN : job->place[i].depth;
    file.depth_field = name; /* found already */
    if (metres)
        column.unit = LW_UNIT_M;
    status = lw_depth_choose(&column, 1, &file, rule, err);
    if (status == 0 && metres) /* the schema's own lengths are all in metres */
        snprintf(rule->reason, sizeof rule->reason, "GPX 1.1 counts lengths in metres");
    free(value);
    return status;
}

static int no_depths(const struct gpx_job *job, struct lw_error *err)
{
    if (job->wanted)
        return lw_fail(err,
                       "%s has no element %s with a number in its %zu points: check "
                       "--depth-field",
                       job->file->path, job->wanted, job->places);
    return lw_fail(err,
                   "%s holds %zu points but no depths (no element named depth in them); give "
                   "--depth-field ele if its heights are depths",
                   job->file->path, job->places);
}

static int take_soundings(struct gpx_job *job, struct lw_source *out, struct lw_error *err)
{
    struct lw_table_tally tally = {0};
    const char *name = job->wanted ? job->wanted : job->name;
    struct lw_depth_rule rule;
    char names[2][64];
    size_t known = 0;

    for (size_t i = 0; i < job->places; i++)
        known += isnan(job->place[i].depth) ? 0 : 1;
    if (!known)
        return no_depths(job, err);
    if (*job->rival && strcasecmp(job->name, "depth") != 0) {
        lw_text_clean(names[0], sizeof names[0], job->name);
        lw_text_clean(names[1], sizeof names[1], job->rival);
        return lw_fail(err,
                       "%s has both %s and %s, either of which could be the depths: give "
                       "--depth-field with the right one",
                       job->file->path, names[0], names[1]);
    }
    if (make_rule(job, name, &rule, &tally.other_unit, err))
        return -1;
    lw_text_clean(out->depth_field, sizeof out->depth_field, name);
    snprintf(out->crs, sizeof out->crs, "EPSG:4326 (WGS 84)");
    for (size_t i = 0; i < job->places; i++) {
        if (job->place[i].bad)
            lw_table_bad(&tally, (long)i + 1, "no place or no number");
        else if (lw_table_add(out, &rule, job->place[i].at, job->place[i].depth, &tally, err))
            return -1;
    }
    return lw_table_finish(out, &rule, &tally, "point", err);
}

int lw_table_read_gpx(const struct lw_map_file *file, struct lw_source *out, struct lw_error *err)
{
    struct gpx_job job = {.file = file, .wanted = file->depth_field};
    bool memory = false;
    int status = -1;

    /* no network, no entities put in, no lifting of the library's limits */
    xmlSetStructuredErrorFunc(&job, keep_fault);
    job.xml = xmlReaderForFile(file->path, NULL, XML_PARSE_NONET | XML_PARSE_COMPACT);
    if (!job.xml) {
        lw_fail(err, "%s cannot be opened as GPX", file->path);
        goto done;
    }
    if (walk(&job, &memory) == 0)
        status = take_soundings(&job, out, err);
    else if (memory)
        lw_fail(err, "%s: out of memory after %zu points", file->path, job.places);
    else
        lw_fail(err, "%s is damaged or no GPX (%s): get it again from its source", file->path,
                *job.fault ? job.fault : "it breaks off");
done:
    xmlFreeTextReader(job.xml);
    xmlSetStructuredErrorFunc(NULL, NULL);
    free(job.place);
    return status;
}
