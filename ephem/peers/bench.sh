#!/bin/sh
# Times a full topocentric place of the Moon here, with ERFA's C and with the npm package
# astronomy-engine, in one sitting: the best of three rounds each, in processor time.
# Needs Go, a C compiler, liberfa-dev, node and npm.
set -eu
cd "$(dirname "$0")"

for program in go cc node npm; do
	command -v "$program" >/dev/null || { echo "$program is not found; on Debian and Ubuntu: apt-get install gcc nodejs npm liberfa-dev" >&2; exit 1; }
done
[ -e /usr/include/erfa.h ] || { echo "ERFA's headers are not found; on Debian and Ubuntu: apt-get install liberfa-dev" >&2; exit 1; }

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
trap 'exit 130' INT TERM
cp horizon.mjs package.json package-lock.json "$folder"
(cd "$folder" && npm ci --silent --no-audit --no-fund)
cc -O2 -o "$folder/moon98" moon98.c -lerfa -lm
go build -o "$folder/ours" ./ours
pack=$(pwd)/../../assets/ephemeris/de405.pack

for round in 1 2 3; do
	echo "Beamhelm, JPL DE405 pack|$("$folder/ours" 1000000 "$pack")"
	echo "Beamhelm, truncated series|$("$folder/ours" 100000)"
	echo "ERFA C, moon98, frame each time|$("$folder/moon98" 20000)"
	echo "ERFA C, moon98, frame kept|$("$folder/moon98" 200000 kept)"
	echo "astronomy-engine (npm)|$(cd "$folder" && node horizon.mjs 100000)"
done | awk -F'[| ]' '
	{
		split($0, half, "|"); split(half[2], x, " ")
		if (!(half[1] in best)) { order[++n] = half[1]; best[half[1]] = x[1]; place[half[1]] = x[2] " " x[3] " " x[4] " " x[5] }
		if (x[1] < best[half[1]]) best[half[1]] = x[1]
	}
	END {
		printf "%-32s %10s %7s   %s\n", "the Moon from a site", "ns", "times", "azimuth, elevation (degrees), distance (km), range rate (m/s)"
		for (i = 1; i <= n; i++) printf "%-32s %10d %7.1f   %s\n", order[i], best[order[i]], best[order[i]] / best[order[1]], place[order[i]]
	}'
uptime | sed 's/.*load/load/'
