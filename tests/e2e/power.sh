#!/bin/bash
# Power fails in the middle of marking: the on-water program is killed (SIGKILL) at random moments
# while marks are keyed through its terminal. Every mark that the screen called confirmed is in the
# journal, once, and so are all that were keyed before it, in the order of the keys; none is there
# that was not keyed. What the journal holds is read by another program (ogrinfo, through SQLite).
. "$(dirname "$0")/rig"
command -v ogrinfo >/dev/null || { echo "ogrinfo is missing: apt-get install gdal-bin"; exit 77; }
port=$(free_port) || fail "no free port"
RANDOM=20261125
kills=10 # at least, and until 100 marks were confirmed

# All but the note, which asks for words, by both hands: no two of a run of 14 look the same.
# tmux takes a bare ; for the end of a command
key=(f d s a v c x j k l '\\;' m , .)
word=(bite fish follow snag weed rock 'bottom change' bite fish follow snag weed rock 'bottom change')
name=(Rae Rae Rae Rae Rae Rae Rae Jo Jo Jo Jo Jo Jo Jo)

query() { # SQL: what it answers, a field a line
    ogrinfo -ro -q -sql "$1" "$journal" | sed -n 's/^  [a-z_]* ([A-Za-z0-9]*) = //p'
}
kept_after() { # ROWID: "rowid kind/who" of each mark of a later row, in order
    ogrinfo -ro -q -sql "SELECT rowid AS n, body FROM event WHERE kind = 'mark' AND rowid > $1
        ORDER BY rowid" "$journal" |
        sed -n -e 's/^  n ([A-Za-z0-9]*) = //p' \
            -e 's/^  body (String) = .*"mark":"\([^"]*\)","who":\([0-9]*\),.*/\1\/\2/p' | paste -d' ' - -
}

alive() { # PID: a dead program may stay as a zombie until tmux looks
    case $(ps -o stat= -p "$1" 2>/dev/null) in '' | Z*) return 1 ;; esac
}

# Keys marks one after the other until the program is gone. `keyed`: what was keyed, in order;
# `confirmed`: so many of them, from the first on, the screen called confirmed.
mark_until_killed() { # PID
    local i=$((RANDOM % 14)) n tries
    keyed=() confirmed=0
    while alive "$1"; do
        for ((n = 1 + RANDOM % 3; n > 0; n--)); do # a few at once now and then
            i=$(((i + 1) % 14))
            keyed+=("${word[i]}/$((i / 7))")
            keys -l -- "${key[i]}" 2>/dev/null || return
        done
        for ((tries = 0; tries < 100; tries++)); do
            alive "$1" || return
            if screen 2>/dev/null | grep -qE "${word[i]}, ${name[i]}.*, confirmed"; then
                confirmed=${#keyed[@]}
                break
            fi
            sleep 0.02
        done
        [ "$tries" -lt 100 ] || fail "${word[i]} by ${name[i]} is not confirmed"
    done
}

make_plan
start_boat
start_gpsd
last_row=0 all_keyed=0 all_confirmed=0 all_kept=0
for ((run = 1; run <= kills || all_confirmed < 100; run++)); do
    [ "$run" -le 40 ] || fail "after 40 kills only $all_confirmed marks were confirmed"
    start_screen 100 30 --map "$map" --plan "$dir/plan.geojson" --angler Rae --co-angler Jo
    in_tmux set-option remain-on-exit on 2>/dev/null # so that the keys of the dead go nowhere
    wait_for 20 'where am I' || { cat "$dir/lipwalk.err"; fail "start $run: no screen"; }
    pid=$(screen_pid)
    (sleep "$((RANDOM % 2)).$((RANDOM % 10))$((RANDOM % 10))$((RANDOM % 10))"; kill -9 "$pid") &
    mark_until_killed "$pid"
    wait $!
    mapfile -t kept < <(kept_after "$last_row")
    [ "${#kept[@]}" -ge "$confirmed" ] ||
        fail "kill $run: $confirmed confirmed, ${#kept[@]} kept (keyed: ${keyed[*]})"
    [ "${#kept[@]}" -le "${#keyed[@]}" ] || fail "kill $run: ${#keyed[@]} keyed, ${#kept[@]} kept"
    for ((i = 0; i < ${#kept[@]}; i++)); do
        [ "${kept[i]#* }" = "${keyed[i]}" ] ||
            fail "kill $run: mark $((i + 1)) is ${kept[i]#* }, keyed was ${keyed[i]}"
        last_row=${kept[i]%% *}
    done
    all_keyed=$((all_keyed + ${#keyed[@]})) all_confirmed=$((all_confirmed + confirmed))
    all_kept=$((all_kept + ${#kept[@]}))
done
say "$((run - 1)) kills: $all_keyed marks keyed, $all_confirmed called confirmed, $all_kept kept"
[ "$(query 'PRAGMA integrity_check')" = ok ] || fail "the journal is damaged"
[ "$(query "SELECT count(*) AS n FROM event WHERE kind = 'mark'")" = "$all_kept" ] ||
    fail "the journal holds other marks than those"
