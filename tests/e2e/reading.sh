#!/bin/bash
# A large map that nobody read before: the screen is there at once, marks work, a key stops the
# reading and another starts it again, and the map comes in by itself; the second time it is there
# with the first screen.
. "$(dirname "$0")/rig"
command -v ogrinfo >/dev/null || { echo "ogrinfo is missing: apt-get install gdal-bin"; exit 77; }
port=$(free_port) || fail "no free port"
big=$dir/big-lake.geojson

awk 'BEGIN { # rings of a lake of 40 km2, a foot apart: some seconds of work
    pi = atan2(0, -1)
    printf "{\"type\": \"FeatureCollection\", \"features\": ["
    for (k = 0; k < 40; k++) {
        printf "%s\n{\"type\": \"Feature\", \"properties\": {\"depth_ft\": %d}, \"geometry\": {\"type\": \"LineString\", \"coordinates\": [", k ? "," : "", k
        for (i = 0; i <= 3000; i++) {
            t = 2 * pi * (i % 3000) / 3000
            printf "%s[%.8f, %.8f]", i ? ", " : "", -94.3 + (1 - k / 42) * 0.05 * cos(t) * (1 + 0.05 * sin(9 * t)), 46.5 + (1 - k / 42) * 0.03 * sin(t) * (1 + 0.06 * cos(7 * t))
        }
        printf "]}}"
    }
    print "]}"
}' >"$big"

runs() { # PID: more than what tmux has yet to collect
    ps -o stat= -p "$1" | grep -q '^[^Z]'
}

say "a map that is not there is said ashore, not on the screen"
"$LIPWALK" --map "$dir/nothing.shp" --journal "$journal" --gpsd "127.0.0.1:$port" >"$dir/log" 2>&1 </dev/null
[ $? = 1 ] && grep -q 'nothing.shp' "$dir/log" || { cat "$dir/log"; fail "a missing map does not end with 1"; }

make_plan
start_boat
start_gpsd
say "the screen comes before the map; marks work"
start_screen 100 30 --map "$big" --plan "$dir/plan.geojson"
wait_for 3 'reading.*, Esc stops it: big-lake.geojson' || { cat "$dir/lipwalk.err"; fail "the reading is not said"; }
keys f
wait_for 3 'bite, .*confirmed' || fail "a mark while the map is read is not confirmed"

say "Esc stops it, Esc reads it again"
keys Escape
wait_for 3 'no map .Esc reads it again.: reading big-lake.geojson was stopped' || fail "Esc does not stop it"
ls -d "$dir"/cache/lipwalk/import-* 2>/dev/null && fail "a stopped import left its folder"
keys e
wait_for 3 'edge at depth' || fail "e leads to no edge screen"
keys Escape # back from there: reads nothing
sleep 0.5
keys Escape
keys e # the strip still shows the mark
wait_for 3 'reading.*, Esc stops it: big-lake' || fail "Esc does not read it again"
keys 9
keys Enter
wait_for 3 'listed once the map is read' || fail "a depth typed early gets no answer"
wait_for 60 '1 edge at 9 ft' || { cat "$dir/lipwalk.err"; fail "the edges are not listed when the map is there"; }
wait_gone 3 'Esc stops it' || fail "the reading is still said"
ogrinfo -ro -q -sql "SELECT body FROM event WHERE kind = 'trip' ORDER BY rowid" "$journal" | grep body |
    tail -n 1 | grep -q 'map":"[^"]*/chart-' || fail "the trip does not know its map"

say "q while it is read ends at once and leaves nothing"
cp "$big" "$dir/other-lake.geojson"
sed -i 's/"depth_ft": 39/"depth_ft": 40/' "$dir/other-lake.geojson"
kill -9 "$(screen_pid)"
start_screen 40 12 --map "$dir/other-lake.geojson"
wait_for 3 'reading.*, Esc stops it' || { cat "$dir/lipwalk.err"; fail "the reading is not said at 40 columns"; }
pid=$(screen_pid)
child=$(pgrep -P "$pid")
[ -n "$child" ] || fail "no child reads"
keys q
wait_for 3 'Leave' || fail "q does not ask"
keys y
for _ in $(seq 10); do runs "$pid" || break; sleep 0.1; done
runs "$pid" && fail "q waits for the map"
runs "$child" && fail "the child reads on"
ls -d "$dir"/cache/lipwalk/import-* 2>/dev/null && fail "the import left its folder"

say "the second time it is there at once"
start_screen 100 30 --map "$big"
wait_for 5 'where am I' || { cat "$dir/lipwalk.err"; fail "no screen"; }
screen | grep -q 'Esc stops it' && fail "a cached lake is read again"
keys e
keys 9
keys Enter
wait_for 5 '1 edge at 9 ft' || fail "no edges from the cache"
say "all seen"
