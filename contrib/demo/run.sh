#!/usr/bin/env bash
# The main job on an invented lake: a plan, a simulated boat, a private gpsd, the on-water screen.
#
#     contrib/demo/run.sh path/to/lipwalk
#
# On a terminal it runs until you quit (q). Without one it runs LIPWALK_DEMO_SECONDS (60) in a
# detached tmux of its own, presses a few keys, prints the last screen and exits 0 when that shows
# guidance and the confirmed mark, else 1. Whatever it started is ended, its folder removed.
set -u

bin=${1:?usage: run.sh path/to/lipwalk}
here=$(cd "$(dirname "$0")" && pwd) || exit 1
map=$here/tarn-pool.geojson
near=46.50029,-94.29896 # the tip of the bar
seconds=${LIPWALK_DEMO_SECONDS:-60}
PATH=$PATH:/usr/sbin:/sbin # gpsd lives there
# a bare machine has no locale set: then the finer glyphs of UTF-8
[ -n "${LC_ALL-}${LC_CTYPE-}${LANG-}" ] || export LC_ALL=C.UTF-8

dir='' boat='' daemon='' screen='' muxed=''

say() {
    printf 'demo: %s\n' "$*" >&2
}

# end PID: asks it to end, waits up to 3 s, then kills it.
end() {
    [ -n "$1" ] || return 0
    kill -TERM "$1" 2>/dev/null
    for _ in $(seq 30); do
        kill -0 "$1" 2>/dev/null || break
        sleep 0.1
    done
    kill -KILL "$1" 2>/dev/null
    wait "$1" 2>/dev/null
}

clean_up() {
    trap - EXIT INT TERM HUP
    end "$screen"
    [ -z "$muxed" ] || mux kill-server 2>/dev/null
    end "$daemon"
    end "$boat"
    for pid in $screen $daemon $boat; do
        if kill -0 "$pid" 2>/dev/null; then
            say "process $pid would not end"
        fi
    done
    [ -z "$dir" ] || rm -rf "$dir"
}
trap clean_up EXIT
trap 'clean_up; exit 130' INT
trap 'clean_up; exit 143' TERM
trap 'clean_up; exit 129' HUP

fail() {
    say "$*"
    [ -z "$dir" ] || sed 's/^/    /' "$dir"/*.log >&2
    exit 1
}

mux() {
    env -u TMUX TMUX_TMPDIR="$dir" tmux -L "lipwalk-demo-$$" -f /dev/null "$@"
}

# Its own session: a Ctrl-C or hang-up of the terminal is for the screen alone.
start_boat() {
    setsid "$bin" rehearse --plan "$dir/plan.geojson" --map "$map" --wind 10mph@250 \
        --cast-time 5s --with-parent "$@" 2>"$dir/boat.log" &
    boat=$!
    for _ in $(seq 50); do
        grep -q 'sentences on' "$dir/boat.log" && return 0
        kill -0 "$boat" 2>/dev/null || break
        sleep 0.1
    done
    end "$boat"
    boat=''
    return 1
}

port_is_free() {
    ! (exec 3<>"/dev/tcp/127.0.0.1/$1") 2>/dev/null
}

# start_daemon DEVICE: a private gpsd on a free port; true when it gives fixes.
start_daemon() {
    for _ in 1 2 3 4 5; do
        port=$((20000 + RANDOM % 10000))
        port_is_free "$port" || continue
        setsid gpsd -N -n -b -S "$port" "$1" 2>"$dir/gpsd.log" &
        daemon=$!
        sleep 0.5
        if kill -0 "$daemon" 2>/dev/null && timeout 8 gpspipe -w "127.0.0.1:$port" 2>/dev/null |
            grep -q -m 1 '"class":"TPV".*"mode":3'; then
            return 0
        fi
        if kill -0 "$daemon" 2>/dev/null; then # it runs, but the device gives nothing
            end "$daemon"
            daemon=''
            return 1
        fi
        daemon=''
    done
    return 1
}

start_position() {
    if start_boat --pty "$dir/receiver" && start_daemon "$(readlink "$dir/receiver")"; then
        return 0
    fi
    say "no position by a pseudo-terminal (refused here?): trying TCP"
    end "$boat"
    boat=''
    start_boat --tcp 0 || return 1
    start_daemon "tcp://$(sed -n 's/.*sentences on //p' "$dir/boat.log")"
}

on_water() {
    exec "$bin" --map "$map" --plan "$dir/plan.geojson" --gpsd "127.0.0.1:$port" \
        --journal "$dir/demo.sqlite"
}

on_terminal() {
    exec 3<&0 # a background job's stdin would be /dev/null; in the background, so that traps run
    on_water <&3 &
    screen=$!
    wait "$screen"
    status=$?
    screen=''
    return $status
}

# shows PATTERN SECONDS: waits until the screen shows it.
shows() {
    for _ in $(seq $(($2 * 5))); do
        mux capture-pane -p 2>/dev/null | grep -q -E "$1" && return 0
        sleep 0.2
    done
    return 1
}

# not the depths' axis, which says "35 ft off" too
guidance='where am I +-?[0-9.]+ (ft|m) off'

without_terminal() {
    local began=$SECONDS left
    export bin map dir port
    export -f on_water
    mux new-session -d -x 120 -y 40 "$BASH" -c on_water || fail "tmux could not start"
    muxed=yes
    screen=$(mux list-panes -F '#{pane_pid}')
    shows "$guidance" 20 || say "no guidance after 20 s"
    mux send-keys f Space # a bite, a cast
    left=$((seconds - 5 - (SECONDS - began)))
    [ "$left" -le 0 ] || sleep "$left"
    mux send-keys d # a fish
    shows 'fish.*confirmed' 5
    mux capture-pane -p >"$dir/last" 2>/dev/null
    cat "$dir/last"
    grep -q -E "$guidance" "$dir/last" || fail "the last screen shows no guidance"
    grep -q 'fish.*confirmed' "$dir/last" || fail "the fish mark was not confirmed"
}

[ -x "$bin" ] || fail "$bin is no program: make it first"
for tool in gpsd gpspipe setsid; do
    command -v $tool >/dev/null || fail "$tool is missing: apt-get install gpsd gpsd-clients util-linux"
done
dir=$(mktemp -d "${TMPDIR:-/tmp}/lipwalk-demo-XXXXXX") || exit 1
export HOME=$dir XDG_CONFIG_HOME=$dir/config XDG_DATA_HOME=$dir/data XDG_CACHE_HOME=$dir/cache \
    XDG_STATE_HOME=$dir/state XDG_RUNTIME_DIR=$dir

say "planning on Tarn Pool, an invented lake"
"$bin" plan --map "$map" --depth 10ft --near $near --length 250m --standoff 35ft \
    --out "$dir/plan.geojson" >&2 2>"$dir/plan.log" || fail "no plan could be made"
start_position || fail "gpsd gives no position"
say "gpsd on 127.0.0.1:$port"
if [ -t 0 ] && [ -t 1 ]; then
    on_terminal
else
    command -v tmux >/dev/null || fail "tmux is missing: apt-get install tmux"
    without_terminal
fi
