#!/bin/bash
# The main job, end to end: a simulated boat on a pty feeds a real gpsd; lipwalk in a real terminal
# guides, marks, survives gpsd's and its own death, and goes on with the day.
. "$(dirname "$0")/rig"
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
wait_for 5 '(gpsd|position).*(lost|refused|gone|old|no )' || fail "the loss of gpsd is not said"
sleep 1
screen | grep -qE 'where am I +[0-9]+ ft off' && fail "a distance off is still shown without a fix"
keys a # a snag without a fix is kept
wait_for 3 'snag, Rae.*confirmed' || fail "a mark without a fix was not kept"
say "gpsd is back: it goes on by itself"
start_gpsd
wait_for 20 'where am I +[0-9]+ ft off' || { cat "$dir/gpsd.log"; fail "no guidance after gpsd came back"; }

say "emergency: frozen, large, until released"
keys 0
wait_for 3 "[0-9]+ ?(°|deg)? ?[0-9]+\.[0-9]+" || fail "the emergency screen shows no coordinates"
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
keys Tab Tab
wait_for 3 'snag' || fail "the marks did not survive"
"$LIPWALK" mark rock --journal "$journal" >/dev/null || fail "lipwalk mark after the restart"

say "smaller than the strip: the far read, down to 40x12"
in_tmux resize-window -x 40 -y 12 2>/dev/null || in_tmux resize-pane -x 40 -y 12
wait_for 5 '.' || fail "nothing on the small screen"
in_tmux resize-window -x 120 -y 40 2>/dev/null

say "leave: nothing is left of it"
pid=$(screen_pid)
keys q
wait_for 3 'Leave' || fail "q does not ask"
keys y
for _ in $(seq 50); do kill -0 "$pid" 2>/dev/null || break; sleep 0.1; done
kill -0 "$pid" 2>/dev/null && fail "lipwalk is still running after q y"
say "all seen"
