#!/usr/bin/env bash
# The window under a real X server (Xvfb) with real key and mouse events (xdotool): opens the sample town, asks every question by keys, chooses a block
# with the mouse, comes nearer with the wheel, is killed and opens again.     usage: real_keys.sh LEEWARD_WINDOW LEEWARD TOWN
# Ends with 0 if all of it came about, 77 if Xvfb or xdotool isn't there.
set -eu
window=$1 leeward=$2 town=$3
command -v Xvfb > /dev/null && command -v xdotool > /dev/null || { echo "Xvfb and xdotool are not installed"; exit 77; }
home=$(mktemp -d)
server= program=
cleanup() {
  [ -z "$program" ] || kill "$program" 2> /dev/null || true
  [ -z "$server" ] || kill "$server" 2> /dev/null || true
  rm -rf "$home"
}
trap cleanup EXIT
export XDG_CONFIG_HOME=$home/config XDG_RUNTIME_DIR=$home HOME=$home QT_QPA_PLATFORM=xcb
say() { printf '%s\n' "$*" >&2; }
fail() { say "FAILED: $*"; exit 1; }

"$leeward" new "$home/study" --name "Sample town" --quiet
sed "s|@TOWN@|$town|g" "$town/study.toml" > "$home/study/study.toml"
"$leeward" take-in "$home/study" visits "$town/visits.csv" --quiet
Xvfb -displayfd 3 -screen 0 1400x900x24 3> "$home/display" 2> /dev/null &
server=$!
for _ in $(seq 100); do [ -s "$home/display" ] && break; sleep 0.1; done
export DISPLAY=:$(cat "$home/display")

kept() { grep -q "$1" "$home/config/leeward/window.json" 2> /dev/null; }
until_kept() {  # until the window says that it is there
  for _ in $(seq 300); do kept "$1" && return 0; sleep 0.1; done
  fail "the window never kept $1"
}
open() {
  "$window" "$@" 2> "$home/messages" &
  program=$!
  for _ in $(seq 300); do xdotool search --onlyvisible --name 'Leeward$' > "$home/id" 2> /dev/null && [ -s "$home/id" ] && break; sleep 0.1; done
  id=$(head -1 "$home/id")
  [ -n "$id" ] || fail "no window: $(cat "$home/messages")"
  xdotool windowfocus "$id" 2> /dev/null || true
}

open "$home/study"
until_kept '"question": "next"'
number=1
for question in bring_in been next need changed due hand_over; do
  xdotool key --window "$id" "ctrl+$number"
  until_kept "\"question\": \"$question\""
  number=$((number + 1))
done
say "every question was asked by keys"
xdotool key --window "$id" ctrl+3
until_kept '"question": "next"'
kept '"block": ""' || fail "no block should be chosen yet"
xdotool mousemove --window "$id" 420 330 click 1
for _ in $(seq 100); do kept '"block": "[0-9]' && break; sleep 0.1; done
kept '"block": "[0-9]' || fail "a click on the map chooses a block"
say "a block was chosen with the mouse"
before=$(grep metres_per_pixel "$home/config/leeward/window.json")
xdotool mousemove --window "$id" 420 330 click 4
xdotool click 4
for _ in $(seq 100); do [ "$(grep metres_per_pixel "$home/config/leeward/window.json")" != "$before" ] && break; sleep 0.1; done
[ "$(grep metres_per_pixel "$home/config/leeward/window.json")" != "$before" ] || fail "the wheel comes nearer"
block=$(grep '"block"' "$home/config/leeward/window.json")
kill -9 "$program"
wait "$program" 2> /dev/null || true
open
sleep 3
xdotool key --window "$id" F7
until_kept '"question": "next"'
[ "$(grep '"block"' "$home/config/leeward/window.json")" = "$block" ] || fail "after a kill the block is there again"
say "killed, and open again where it was"
