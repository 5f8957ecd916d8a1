// The topocentric place of the Moon by the npm package astronomy-engine: azimuth,
// elevation and distance (it has no range rate). Prints nanoseconds a place and the first place.
import * as Astronomy from "astronomy-engine";

const count = Number(process.argv[2] ?? 1000);
const observer = new Astronomy.Observer(55.02, -2.96, 190);
const begin = Date.parse("2027-04-14T16:00:00Z");
let first = "";
let sum = 0;
const from = process.cpuUsage();
for (let i = 0; i < count; i++) {
	const at = new Date(begin + i * 60000);
	const equator = Astronomy.Equator(Astronomy.Body.Moon, at, observer, true, true);
	const horizon = Astronomy.Horizon(at, observer, equator.ra, equator.dec);
	sum += horizon.azimuth + horizon.altitude + equator.dist;
	if (i === 0) {
		first = `${horizon.azimuth.toFixed(5)} ${horizon.altitude.toFixed(5)} ${(equator.dist * Astronomy.KM_PER_AU).toFixed(3)} -`;
	}
}
const spent = process.cpuUsage(from);
console.log(`${((spent.user + spent.system) * 1000 / count).toFixed(0)} ${first}`);
if (sum === 0) process.exit(1);
