/* In which coordinate system the numbers of a layer are. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "gdal.h"
#include "lipwalk/base/text.h"
#include "reader_own.h"
#include "scratch.h"

static int no_crs(struct lw_reader *reader, struct lw_error *err)
{
    OGREnvelope box = {0};
    const char *prj = lw_scratch_is(reader->map, "shp") ? " (there is no .prj file)" : "";

    if (OGR_L_GetExtent(reader->layer[reader->first], &box, TRUE) != OGRERR_NONE ||
        !(reader->about[reader->first].places || box.MinX < box.MaxX || box.MinY < box.MaxY))
        return lw_fail(err,
                       "%s holds no lines, areas or places: contour lines or polygons, or "
                       "soundings, are needed",
                       reader->map);
    if (box.MinX >= -180 && box.MaxX <= 180 && box.MinY >= -90 && box.MaxY <= 90)
        return lw_fail(err,
                       "%s does not say its coordinate system%s; its coordinates, %g to %g and %g "
                       "to %g, look like longitude and latitude: give --crs EPSG:4326 to confirm",
                       reader->map, prj, box.MinX, box.MaxX, box.MinY, box.MaxY);
    return lw_fail(err,
                   "%s does not say its coordinate system%s; its coordinates are %.0f to %.0f and "
                   "%.0f to %.0f: give --crs with the EPSG code that the publisher names, such as "
                   "--crs EPSG:26915",
                   reader->map, prj, box.MinX, box.MaxX, box.MinY, box.MaxY);
}

int lw_reader_epsg(const char *crs)
{
    const char *digits = strncasecmp(crs, "EPSG:", 5) == 0 ? crs + 5 : crs;
    size_t n = strspn(digits, "0123456789");

    return n >= 4 && n <= 6 && digits[n] == '\0' ? atoi(digits) : 0;
}

/* The user's word counts over the map's, but not silently. */
static int wanted_crs(struct lw_reader *reader, const char *wanted, struct lw_error *err)
{
    OGRSpatialReferenceH said = OGR_L_GetSpatialRef(reader->layer[reader->first]);
    /* GeoJSON's degrees come longitude first, whatever the system says of its axes. */
    const char *const compare[] = {"IGNORE_DATA_AXIS_TO_SRS_AXIS_MAPPING=YES", NULL};
    char name[100];

    reader->from = lw_crs_wanted(wanted, err);
    if (!reader->from)
        return -1;
    if (said && OSRGetName(said) && !OSRIsSameEx(said, reader->from, compare) && !*reader->note) {
        lw_text_clean(name, sizeof name, OSRGetName(said));
        snprintf(reader->note, sizeof reader->note,
                 "the map says its coordinate system is %s; it is read as %.20s by --crs", name,
                 wanted);
    }
    return 0;
}

void lw_reader_forget_crs(struct lw_reader *reader)
{
    if (reader->to_ll)
        OCTDestroyCoordinateTransformation(reader->to_ll);
    if (reader->from_ll)
        OCTDestroyCoordinateTransformation(reader->from_ll);
    if (reader->from)
        OSRDestroySpatialReference(reader->from);
    if (reader->wgs84)
        OSRDestroySpatialReference(reader->wgs84);
    reader->to_ll = reader->from_ll = NULL;
    reader->from = reader->wgs84 = NULL;
}

int lw_reader_settle_crs(struct lw_reader *reader, struct lw_error *err)
{
    const char *wanted = reader->file->crs;

    lw_reader_forget_crs(reader);
    reader->wgs84 = lw_crs_wgs84();
    if (wanted) {
        if (wanted_crs(reader, wanted, err))
            return -1;
    } else {
        OGRSpatialReferenceH said = OGR_L_GetSpatialRef(reader->layer[reader->first]);

        if (!said || !OSRGetName(said) || strncmp(OSRGetName(said), "Undefined", 9) == 0)
            return no_crs(reader, err);
        reader->from = OSRClone(said);
    }
    OSRSetAxisMappingStrategy(reader->from, OAMS_TRADITIONAL_GIS_ORDER);
    lw_crs_name(reader->from, reader->crs, sizeof reader->crs);
    reader->geographic = OSRIsGeographic(reader->from) != 0;
    reader->to_ll = OCTNewCoordinateTransformation(reader->from, reader->wgs84);
    reader->from_ll = reader->to_ll ? OCTGetInverse(reader->to_ll) : NULL;
    if (!reader->to_ll || !reader->from_ll)
        return lw_fail(err,
                       "%s: its coordinate system %s cannot be turned into longitude and latitude: "
                       "give --crs with the right EPSG code",
                       reader->map, reader->crs);
    return 0;
}

bool lw_reader_one_crs(const struct lw_reader *reader, size_t a, size_t b)
{
    OGRSpatialReferenceH x = OGR_L_GetSpatialRef(reader->layer[a]);
    OGRSpatialReferenceH y = OGR_L_GetSpatialRef(reader->layer[b]);

    return x == y || reader->file->crs || (x && y && OSRIsSame(x, y));
}
