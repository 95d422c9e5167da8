#!/bin/bash
# The main job, end to end: a simulated boat on a pty feeds a real gpsd; lipwalk in a real terminal
# guides, marks, survives gpsd's and its own death, and goes on with the day.
. "$(dirname "$0")/rig"
command -v gpspipe >/dev/null || { echo "gpspipe is missing: apt-get install gpsd-clients"; exit 77; }

frozen_at() { screen | sed -n 's/^\(-\?[0-9]*\.[0-9]*, -\?[0-9]*\.[0-9]*\)$/\1/p'; } # LAT, LON
# Whether the frozen position is within 30 m of gpsd's own (the receiver's error is correlated and
# the boat moves less than a metre a second).
near_boat() {
    local at tpv
    at=$(frozen_at)
    tpv=$(timeout 8 gpspipe -w "127.0.0.1:$port" | grep -m 1 '"class":"TPV".*"lat":')
    awk -v at="$at" -v tpv="$tpv" 'BEGIN {
        if (split(at, a, ", ") != 2 || !match(tpv, /"lat":[-0-9.]+/)) exit 1
        lat = substr(tpv, RSTART + 6, RLENGTH - 6)
        if (!match(tpv, /"lon":[-0-9.]+/)) exit 1
        lon = substr(tpv, RSTART + 6, RLENGTH - 6)
        n = (a[1] - lat) * 111200; e = (a[2] - lon) * 111200 * cos(lat * 0.0174533)
        exit !(n * n + e * e < 900)
    }'
}

port=$(free_port) || fail "no free port"

say "plan, boat, gpsd, screen"
make_plan
start_boat
start_gpsd
start_screen 120 40 --map "$map" --plan "$dir/plan.geojson" --angler Rae --co-angler Jo
wait_for 20 'where am I +[0-9]+ ft off' || { cat "$dir/lipwalk.err" "$dir/gpsd.log"; fail "no distance off the edge"; }
screen | grep -q "3D" || fail "the fix is not said to be 3D"
screen | grep -qi "next cast" || fail "no next cast"

say "a mark by each hand is confirmed and names who"
keys d
wait_for 3 'fish, Rae.*confirmed' || fail "the angler's fish was not confirmed"
keys K # the co-angler's fish, with Caps Lock on
wait_for 3 'fish, Jo.*confirmed' || fail "the co-angler's fish was not confirmed"
keys f
wait_for 3 'bite, Rae.*confirmed' || fail "the bite was not confirmed"
wait_for 3 '(19:5[0-9]|20:00)' || fail "the bite started no dwell of 20 minutes"

say "a cast is counted; undo takes it back"
keys Space
wait_for 3 'cast .*made.*confirmed' || fail "the cast was not confirmed"
keys BSpace
wait_for 3 'taken back' || fail "undo did not say so"

say "another terminal's mark is seen within a second (and the clock's tick)"
"$LIPWALK" mark snag --journal "$journal" >"$dir/mark.log" 2>&1 || { cat "$dir/mark.log"; fail "lipwalk mark"; }
grep -q confirmed "$dir/mark.log" || fail "lipwalk mark did not confirm"
keys Tab Tab # the places and marks
wait_for 2 'snag' || fail "the other terminal's snag is not listed"
keys Tab
wait_for 2 'where am I' || { keys Tab; wait_for 2 'where am I' || fail "Tab does not lead back to the strip"; }

say "gpsd is pulled: said in words, guidance blanked"
stop "$gpsd_pid"
wait_for 5 '(gpsd|position).*(lost|refused|gone|old|no |closed|nobody)' || fail "the loss of gpsd is not said"
sleep 1
screen | grep -qE 'where am I +[0-9]+ ft off' && fail "a distance off is still shown without a fix"
keys a # a snag without a fix is kept
wait_for 3 'snag, Rae.*confirmed' || fail "a mark without a fix was not kept"
say "gpsd is back: it goes on by itself"
start_gpsd
wait_for 20 'where am I +[0-9]+ ft off' || { cat "$dir/gpsd.log"; fail "no guidance after gpsd came back"; }

say "emergency: frozen, large, until released"
keys 0
wait_for 3 'EMERGENCY: position frozen at' || fail "the emergency key froze nothing"
near_boat || fail "the frozen coordinates are not where gpsd has the boat"
wait_for 3 'back there: +[0-9]+ ft, bearing [0-9]{3}' || fail "no distance and bearing back"
wait_for 3 'position frozen, confirmed' || fail "the frozen position is not on the disk"
frozen=$(frozen_at)
sleep 2
[ "$(frozen_at)" = "$frozen" ] || fail "the frozen position moved: $frozen, then $(frozen_at)"
keys 0
wait_for 3 'Release' || fail "release is not asked for"
keys y
wait_for 3 'where am I' || fail "the release does not lead back"

say "kill -9, start again: the trip, its marks and the dwell are there"
kill -9 "$(screen_pid)"
sleep 0.5
start_screen 80 24 --gpsd "127.0.0.1:$port"
wait_for 20 'where am I +[0-9]+ ft off' || { cat "$dir/lipwalk.err"; fail "the trip is not taken up"; }
wait_for 3 '(19:[0-9][0-9]|20:00|18:[0-9][0-9])' || fail "the dwell did not survive"
wait_for 3 'left hand marks for Rae' || fail "the crew's names did not survive"
keys Tab Tab
wait_for 3 'snag' || fail "the marks did not survive"
"$LIPWALK" mark rock --journal "$journal" >/dev/null || fail "lipwalk mark after the restart"

say "smaller than the strip: the far read, down to 40x12"
keys Tab # from the places back to the strip
wait_for 3 'where am I' || fail "Tab does not lead back to the strip"
in_tmux resize-window -x 40 -y 12 2>/dev/null || in_tmux resize-pane -x 40 -y 12
wait_for 5 '█.* ft off ±[0-9]+' || fail "the far read does not say the distance off, large"
wait_for 5 '(steer [0-9]|stay here|straight on)' || fail "the far read does not say which way to steer"
wait_for 5 'cast [0-9]+ of [0-9]+' || fail "the far read names no cast"
[ "$(screen | wc -l)" -eq 12 ] || fail "the screen is not 12 rows high"
keys f
wait_for 3 'bite, .*confirmed' || fail "a mark on the small screen is not confirmed"
in_tmux resize-window -x 120 -y 40 2>/dev/null

say "leave: nothing is left of it"
pid=$(screen_pid)
keys q
wait_for 3 'Leave' || fail "q does not ask"
keys y
for _ in $(seq 50); do kill -0 "$pid" 2>/dev/null || break; sleep 0.1; done
kill -0 "$pid" 2>/dev/null && fail "lipwalk is still running after q y"
say "all seen"
