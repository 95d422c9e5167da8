#!/bin/bash
# The sounder against the map: a rehearsed boat on water that is 0.3 m higher than the map says. The
# crew asks, reads one sentence, says no: nothing is applied; says yes: the map's figures are today's,
# after a restart too, and an edge typed in feet is today's edge.
. "$(dirname "$0")/rig"
port=$(free_port) || fail "no free port"

mkdir -p "$dir/config/lipwalk"
printf 'fan-half = 0\ncoverage = 60%%\nretrieve = 10mph\ncast-time = 1s\n' >"$dir/config/lipwalk/lipwalk.conf" # short stops

start_high_boat() { # sixty times as fast
    "$LIPWALK" rehearse --plan "$dir/plan.geojson" --map "$map" --stage 0.3m --pty "$dir/boat" \
        --seed 7 --wind 3mph@250 --speedup 60 >"$dir/boat.log" 2>&1 &
    boat_pid=$!
    for _ in $(seq 300); do [ -e "$dir/boat" ] && return; sleep 0.1; done # its map is built first
    cat "$dir/boat.log"
    fail "the rehearsed boat made no pty"
}
setting() { # NAME: its last value in the journal
    ogrinfo -ro -q -sql "SELECT body FROM event WHERE kind = 'setting' ORDER BY rowid" "$journal" |
        sed -n "s/.*\"name\":\"$1\",\"value\":\([-0-9.e]*\).*/\1/p" | tail -n 1
}
leave() {
    local pid
    pid=$(screen_pid)
    keys q
    wait_for 3 'Leave' || fail "q does not ask"
    keys y
    for _ in $(seq 50); do kill -0 "$pid" 2>/dev/null || return; sleep 0.1; done
    fail "lipwalk is still running after q y"
}
text() { screen | tr '\n' ' ' | tr -s ' '; }
ask() { # u asks, once there are enough places with a depth of both
    local places
    for _ in $(seq 30); do
        keys u
        wait_for 1 'Take the level\?' || continue
        places=$(text | sed -n 's/.* map at \([0-9]*\) places.*/\1/p')
        [ "${places:-0}" -ge "$1" ] && return 0
        keys n
        sleep 1
        text | grep -q 'shift the map?' && keys n
    done
    return 1
}

command -v ogrinfo >/dev/null || { echo "ogrinfo is missing: apt-get install gdal-bin"; exit 77; }
make_plan
start_high_boat
start_gpsd
start_screen 120 40 --map "$map" --plan "$dir/plan.geojson" --units metric
wait_for 20 'where am I' || { cat "$dir/lipwalk.err"; fail "no screen"; }

say "no: nothing is applied"
ask 100 || fail "the level is not asked about"
text | grep -oE 'The sounder.*y yes, n no'
# within twice the error that it states itself, which must be of use
text | sed -n 's/.*The sounder reads \(0\.[0-9]*\) m ±\(0\.[0-9]*\) deeper than the map.*/\1 \2/p' |
    awk '{ off = $1 - 0.3; if (off < 0) off = -off; ok = $2 <= 0.15 && off <= 2 * $2 && off <= 0.15 } END { exit !ok }' ||
    fail "not 0.3 m deeper"
text | grep -qE 'the 2.7 m edge lies about [0-9]+ m nearer the shore' ||
    fail "the edge's way is not said"
keys f # marks go on while it is asked
wait_for 3 'bite, .*confirmed' || fail "no mark while the question is open"
text | grep -q 'Take the level?' || fail "the mark closed the question"
keys n
wait_gone 3 'Take the level' || fail "n does not close the question"
sleep 0.5
text | grep -q 'shift the map?' && keys n
sleep 0.5
[ -z "$(setting stage_m)$(setting shift_e_m)" ] || fail "n set the level to $(setting stage_m)"

say "yes: kept in the journal, and said"
stop "$boat_pid" # the comparison needs no fix; its clock, which runs too fast, would talk in between
ask 100 || fail "the level is not asked about again"
keys y
wait_for 3 'level taken: 0\.[1-4][0-9]* m up' || wait_for 1 'shift the map' || fail "y does not say so"
text | grep -q 'shift the map?' && keys n
wait_for 2 '^[^,]* (2\.9|3|3\.1) m edge' || fail "the line of 2.74 m is not called by its depth today"
level=$(setting stage_m)
awk -v m="$level" 'BEGIN { exit !(m > 0.15 && m < 0.45) }' || fail "the level kept is $level"

say "an edge typed is today's: it lies on the map's contour that much less deep"
keys e
keys -l 3.04m # the map's 2.74 and 0.3, within a hand of what was measured
keys Enter
wait_for 3 'edges? at 3 m' || fail "no edges are listed at 3.04 m"
keys Enter
wait_for 3 'Work .* of the 3 m edge' || fail "the edge is not called by what was typed"
keys y
wait_for 5 'planned: ' || fail "no plan"
planned=$(grep -o '"depth_m": *[0-9.]*' "$(ls -t "$dir"/data/lipwalk/plan-*.geojson | head -n 1)" | head -n 1)
awk -v p="${planned##*[: ]}" -v m="$level" 'BEGIN { d = p + m - 3.04; exit !(d * d < 1e-6) }' ||
    fail "typed 3.04 m with $level of level planned $planned of the map"

say "a restart keeps it"
leave
start_screen 120 40 --units metric
wait_for 20 '^[^,]* (2\.9|3|3\.1) m edge' || { cat "$dir/lipwalk.err"; fail "the level did not survive"; }
[ "$(setting stage_m)" = "$level" ] || fail "the level changed to $(setting stage_m)"
say "all seen"
