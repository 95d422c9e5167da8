#include "gdal.h"

#include <cpl_conv.h>
#include <stdio.h>

#include "lipwalk/base/text.h"
#include "reader.h"

void lw_gdal_private(void)
{
    static const char *const options[][2] = {
        {"GDAL_PAM_ENABLED", "NO"},
        {"GDAL_DISABLE_READDIR_ON_OPEN", "NO"},
        {"GDAL_DRIVER_PATH", "disable"},
        {"GDAL_HTTP_TIMEOUT", "1"},
        {"CPL_VSIL_CURL_ALLOWED_EXTENSIONS", "{noext}"},
    };

    for (size_t i = 0; i < sizeof options / sizeof *options; i++)
        CPLSetConfigOption(options[i][0], options[i][1]);
    OSRSetPROJEnableNetwork(0);
}

OGRSpatialReferenceH lw_crs_wgs84(void)
{
    OGRSpatialReferenceH crs = OSRNewSpatialReference(NULL);

    OSRImportFromEPSG(crs, 4326);
    OSRSetAxisMappingStrategy(crs, OAMS_TRADITIONAL_GIS_ORDER);
    return crs;
}

OGRSpatialReferenceH lw_crs_wanted(const char *wanted, struct lw_error *err)
{
    OGRSpatialReferenceH crs = OSRNewSpatialReference(NULL);
    int code = lw_reader_epsg(wanted);

    if (code && OSRImportFromEPSG(crs, code) == OGRERR_NONE)
        return crs;
    OSRDestroySpatialReference(crs);
    lw_fail(err, "--crs %s: give a known EPSG code, such as EPSG:4326 or EPSG:26915", wanted);
    return NULL;
}

void lw_crs_name(OGRSpatialReferenceH crs, char *to, size_t size)
{
    const char *authority = OSRGetAuthorityName(crs, NULL), *code = OSRGetAuthorityCode(crs, NULL);
    const char *name = OSRGetName(crs);
    char text[256];

    if (authority && code)
        snprintf(text, sizeof text, "%s:%s (%s)", authority, code, name ? name : "unnamed");
    else
        snprintf(text, sizeof text, "%s", name ? name : "unnamed");
    lw_text_clean(to, size, text);
}
