#include "lipwalk/share/gpx.h"

#include <libxml/xmlwriter.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/base/save.h"
#include "lipwalk/base/text.h"
#include "lipwalk/geo/thin.h"

#define ROUTE_TOL_M 2.0

/* GPX wants xsd:decimal: no exponent, and '.' whatever the locale. */
static void degrees(char to[static 32], double value)
{
    long long nano = llround(fabs(value) * 1e9);
    unsigned whole = (unsigned)(nano / 1000000000), rest = (unsigned)(nano % 1000000000);

    snprintf(to, 32, "%s%u.%09u", value < 0 ? "-" : "", whole, rest);
}

/* XML 1.0 forbids U+FFFE and U+FFFF too, which are valid UTF-8. */
static void text(xmlTextWriterPtr w, const char *element, const char *from)
{
    char clean[1024];

    lw_text_clean(clean, sizeof clean, from);
    for (char *s = clean; (s = strstr(s, "\xEF\xBF")) != NULL; s += 2)
        if (s[2] == '\xBE' || s[2] == '\xBF')
            memcpy(s, "???", 3);
    xmlTextWriterWriteElement(w, BAD_CAST element, BAD_CAST clean);
}

static void open_point(xmlTextWriterPtr w, const char *element, const struct lw_plan *plan,
                       struct lw_en at)
{
    struct lw_ll ll = lw_frame_to_ll(&plan->frame, at);
    char lat[32], lon[32];

    degrees(lat, ll.lat_deg);
    degrees(lon, ll.lon_deg);
    xmlTextWriterStartElement(w, BAD_CAST element);
    xmlTextWriterWriteAttribute(w, BAD_CAST "lat", BAD_CAST lat);
    xmlTextWriterWriteAttribute(w, BAD_CAST "lon", BAD_CAST lon);
}

static void put_points(xmlTextWriterPtr w, const char *element, const struct lw_plan *plan,
                       const struct lw_line *line)
{
    for (size_t i = 0; i < line->n; i++) {
        open_point(w, element, plan, line->p[i]);
        xmlTextWriterEndElement(w);
    }
}

static void put_metadata(xmlTextWriterPtr w, const struct lw_plan *plan, int64_t created_utc_ms)
{
    char name[160], created[40];

    snprintf(name, sizeof name, "Casting plan%s%s", plan->lake[0] ? ", " : "", plan->lake);
    lw_clock_iso(created, sizeof created, created_utc_ms);
    xmlTextWriterStartElement(w, BAD_CAST "metadata");
    text(w, "name", name);
    text(w, "desc", "Not for navigation. Local seasons, sanctuaries and regulations come first.");
    xmlTextWriterWriteElement(w, BAD_CAST "time", BAD_CAST created);
    xmlTextWriterEndElement(w);
}

static void put_stations(xmlTextWriterPtr w, const struct lw_plan *plan)
{
    for (size_t i = 0; i < plan->stations; i++) {
        const struct lw_station *station = &plan->station[i];
        char name[32], comment[96];

        snprintf(name, sizeof name, "S%d", station->order);
        snprintf(comment, sizeof comment, "%.0f m along, %zu casts", station->along_m,
                 station->casts);
        open_point(w, "wpt", plan, station->at);
        text(w, "name", name);
        text(w, "cmt", comment);
        xmlTextWriterEndElement(w);
    }
}

static int put_routes(xmlTextWriterPtr w, const struct lw_plan *plan, struct lw_error *err)
{
    for (size_t i = 0; i < plan->hold.n; i++) {
        struct lw_line thin;
        char name[64];

        if (lw_line_thin(&plan->hold.line[i], ROUTE_TOL_M, &thin, err))
            return -1;
        snprintf(name, sizeof name, "Hold line %zu of %zu", i + 1, plan->hold.n);
        xmlTextWriterStartElement(w, BAD_CAST "rte");
        text(w, "name", name);
        put_points(w, "rtept", plan, &thin);
        xmlTextWriterEndElement(w);
        lw_line_free(&thin);
    }
    return 0;
}

static void put_track(xmlTextWriterPtr w, const struct lw_plan *plan)
{
    xmlTextWriterStartElement(w, BAD_CAST "trk");
    text(w, "name", "Hold line");
    for (size_t i = 0; i < plan->hold.n; i++) {
        xmlTextWriterStartElement(w, BAD_CAST "trkseg");
        put_points(w, "trkpt", plan, &plan->hold.line[i]);
        xmlTextWriterEndElement(w);
    }
    xmlTextWriterEndElement(w);
}

int lw_gpx_write_plan(const struct lw_plan *plan, int64_t created_utc_ms, const char *path,
                      struct lw_error *err)
{
    xmlBufferPtr buffer = xmlBufferCreate();
    xmlTextWriterPtr w = buffer ? xmlNewTextWriterMemory(buffer, 0) : NULL;
    int rc = -1;

    if (!w) {
        lw_fail(err, "%s cannot be written: memory ran out", path);
        goto done;
    }
    xmlTextWriterSetIndent(w, 1);
    xmlTextWriterStartDocument(w, "1.0", "UTF-8", NULL);
    xmlTextWriterStartElement(w, BAD_CAST "gpx");
    xmlTextWriterWriteAttribute(w, BAD_CAST "xmlns", BAD_CAST "http://www.topografix.com/GPX/1/1");
    xmlTextWriterWriteAttribute(w, BAD_CAST "version", BAD_CAST "1.1");
    xmlTextWriterWriteAttribute(w, BAD_CAST "creator", BAD_CAST "lipwalk");
    put_metadata(w, plan, created_utc_ms);
    put_stations(w, plan);
    if (put_routes(w, plan, err))
        goto done;
    put_track(w, plan);
    /* The writer keeps no error of its elements: a document that it cannot end is incomplete. */
    if (xmlTextWriterEndDocument(w) < 0 || xmlTextWriterFlush(w) < 0) {
        lw_fail(err, "%s cannot be written: memory ran out", path);
        goto done;
    }
    rc = lw_file_save(path, 0666, xmlBufferContent(buffer), (size_t)xmlBufferLength(buffer), err);
done:
    if (w)
        xmlFreeTextWriter(w);
    if (buffer)
        xmlBufferFree(buffer);
    return rc;
}
