#!/bin/bash
# A grid of depths through the command: its own cells at given places, nothing written beside it.
. "$(dirname "$0")/rig"
data=${LW_DATA:-$root/../shared/data}
grid=$data/rasters/erie-west-400.tif points=$data/checks/erie-west-400-samples.csv
[ -r "$grid" ] && [ -r "$points" ] || { [ "${CI:-}" = true ] && fail "outside data is missing"; exit 77; }

mkdir "$dir/map" && cp "$grid" "$dir/map/lake.tif"
"$LIPWALK" chart "$dir/map/lake.tif" --sample "$points" >"$dir/cells.csv" 2>"$dir/warned" ||
    fail "it cannot be read: $(cat "$dir/warned")"
# values of gdallocationinfo -wgs84, negative down; every place is a row, to a float's last digit
awk -F, 'NR == 1 { next } { n++; d = $3 + $4; if ($4 == "" || d > 1e-6 || d < -1e-6) { bad++; print } }
    END { exit !(n >= 200 && bad == 0) }' "$dir/cells.csv" || fail "cells differ from the file's own"
grep -q 'read as metres' "$dir/warned" || fail "it does not say that the unit was not said"
[ "$(ls "$dir/map")" = lake.tif ] || fail "something was written beside the map: $(ls "$dir/map")"
# every line that gdal_contour draws, down to humps of a single cell
gdal_contour -q -fl -8.05 -f GeoJSON "$grid" "$dir/peer.geojson" || fail "gdal_contour fails"
"$LIPWALK" chart "$dir/map/lake.tif" --contour 8.05m --out "$dir/own.geojson" >/dev/null 2>&1 ||
    fail "no contour of it"
lines() { grep -o '"LineString"' "$1" | wc -l; }
[ "$(lines "$dir/own.geojson")" -eq "$(lines "$dir/peer.geojson")" ] ||
    fail "$(lines "$dir/own.geojson") lines, gdal_contour $(lines "$dir/peer.geojson")"
# soundings folded in, or a size of the cells' own, make it a surface: no longer the very cells
"$LIPWALK" chart "$dir/map/lake.tif" --cell 300m --sample "$points" >"$dir/coarse.csv" 2>/dev/null ||
    fail "--cell cannot be read"
cmp -s "$dir/cells.csv" "$dir/coarse.csv" && fail "--cell changes nothing"
exit 0
