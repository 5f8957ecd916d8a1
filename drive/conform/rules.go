package conform

import "beamhelm/drive/rtu"

// Need is what it takes to try a rule.
type Need uint8

const (
	Nothing    Need = iota
	Permitting      // Config.Permit
	Either          // Config.Permit or Config.Move
	Moving          // Config.Move
	Hands           // somebody at the dish: never tried
)

// String says which options it takes.
func (n Need) String() string {
	return [...]string{"", "-permit", "-permit or -move", "-move", "hands at the dish"}[n]
}

// Rule tells of a rule.
type Rule struct {
	ID, Section, Words string
	Needs              Need
}

// Rules are all rules, in the order in which they are tried.
func Rules() (all []Rule) {
	for _, r := range rules() {
		all = append(all, Rule{r.id, r.section, r.words, r.needs})
	}
	return all
}

// rule is one rule: where the page of registers says it, what it says, and how it is tried.
type rule struct {
	id, section, words string
	needs              Need
	// after are rules without which this one can't be told.
	after []string
	try   func(*tester)
}

// rules are all rules.
//
//beamhelm:table
func rules() (all []rule) {
	all = append(all, lineRules()...)
	all = append(all, registerRules()...)
	all = append(all, basicRules()...)
	all = append(all, watchdogRules()...)
	all = append(all, orderRules()...)
	all = append(all, reversalRules()...)
	return append(all, handRules()...)
}

func after(ids ...string) []string { return ids }

// lineRules are those of frames, functions and refusals.
//
//beamhelm:table
func lineRules() []rule {
	return []rule{
		{"map-whole", "1", "every register from 0000 to the one in 000F is answered, in any blocks", Nothing, nil,
			(*tester).everyRegister},
		{"input-reads", "1", "function 04 gives the same values as 03", Nothing, nil, (*tester).inputsAreHoldings},
		{"map-end", "1", "an address beyond the map: exception 02", Nothing, nil, (*tester).beyondTheMap},
		{"write-06", "1", "function 06 writes one register", Nothing, nil, writesBy(rtu.WriteOne)},
		{"write-16", "1", "function 16 writes registers", Nothing, nil, writesBy(rtu.WriteMany)},
		{"write-23", "1", "function 23 writes first and reads second: the reply carries the sequence just written",
			Nothing, nil, (*tester).writesFirst},
		{"quantities", "1", "a quantity of 0 or above 125, or a wrong byte count: exception 03", Nothing,
			after("write-16"), (*tester).quantities},
		{"function-unknown", "1", "a function that isn't known: exception 01", Nothing, nil, (*tester).unknownFunction},
		{"read-only", "1", "a write to a register that is only read: exception 02", Nothing, nil, (*tester).onlyRead},
		{"check-order", "1", "quantities are checked before ranges, ranges before values", Nothing,
			after("write-23", "quantities", "map-end", "read-only"), (*tester).orderOfChecks},
		{"refused-whole", "1", "of a refused request nothing holds, and its sequence is not taken", Nothing,
			after("write-23", "map-end"), (*tester).refusedWhole},
		{"other-unit", "1", "a frame to another unit is not answered", Nothing, nil, (*tester).otherUnit},
		{"broadcast", "1", "a broadcast is not answered, and changes nothing", Nothing, nil, (*tester).broadcast},
		{"bad-crc", "1", "a frame with a bad CRC is not answered", Nothing, nil, (*tester).badFrame},
		{"bad-crc-count", "4", "a run of input with a bad CRC counts once in 003C", Nothing, after("bad-crc"),
			(*tester).badFrameCount},
		{"unfinished", "1", "an unfinished frame is dropped, and the next request answered", Nothing, nil,
			(*tester).unfinishedFrame},
		{"behind-bad", "1", "a good frame behind a bad one, without a pause between, is answered", Nothing,
			after("bad-crc"), (*tester).frameBehindABadOne},
		{"pause", "1", "a pause of 5 ms within a frame is tolerated", Nothing, nil, (*tester).pauseInAFrame},
		{"not-early", "1", "a reply begins no sooner than 3.5 characters (1.75 ms above 19200 baud) after the request",
			Nothing, nil, (*tester).notEarly},
		{"not-late", "1", "a reply begins within 10 ms", Nothing, nil, (*tester).notLate},
	}
}

// registerRules are those of what the registers hold, with everything off.
//
//beamhelm:table
func registerRules() []rule {
	return []rule{
		{"at-rest", "7.3", "everything ordered off: no power, nothing applied, no transmit permit", Nothing, nil,
			(*tester).atRest},
		{"version", "2", "0000: the map version is 1", Nothing, nil, (*tester).version},
		{"fitted", "2", "0001: at least one axis is fitted", Nothing, nil, (*tester).anAxis},
		{"time", "4", "002A: the time runs on without requests, in milliseconds", Nothing, nil, (*tester).timeGoesOn},
		{"starts", "4", "0032: the start counter is that of 0004", Nothing, after("map-whole"), (*tester).startCounter},
		{"turn-counts", "2", "0009 to 000C: counts per turn of an absolute encoder, else 0", Nothing, nil,
			(*tester).countsPerTurn},
		{"identity-end", "2", "000D, 000E read 0; 000F is 005F or more", Nothing, nil, (*tester).identityEnds},
		{"after-start", "3", "after a start 0010 to 001F read 0 except 0014, which reads 1000, and trip 3 stands",
			Nothing, nil, (*tester).afterAStart},
		{"clears", "7.10", "trip 3 clears, and stays cleared", Nothing, nil, (*tester).clears},
		{"orders", "3", "0011: a bit without a meaning is refused, exception 03", Nothing, nil,
			(*tester).unknownOrders},
		{"azimuth-range", "3", "0012: a demand beyond 10000 either way is refused", Nothing, nil, demandRange(0)},
		{"elevation-range", "3", "0013: a demand beyond 10000 either way is refused", Nothing, nil, demandRange(1)},
		{"period-range", "3", "0014: a period below 200 or above 2000 ms is refused, both of these are taken", Nothing,
			nil, (*tester).periodRange},
		{"zeros", "3", "0016, 0017, 001B to 001F: 0 is taken, anything else refused", Nothing, nil, (*tester).onlyZero},
		{"output-range", "3", "0018: outputs above bit 7 are refused", Nothing, nil, upTo(0x0018, 0x00FF)},
		{"band-range", "3", "0019: a band above 15 is refused", Nothing, nil, upTo(0x0019, 15)},
		{"clear-reads", "3", "0015 reads 0; its bits 9 to 15 are ignored", Nothing, nil, (*tester).clearReadsZero},
		{"reads-back", "3", "what is written reads back as written", Nothing, nil, (*tester).readsBack},
		{"parts", "3", "0010 to 001F may be written in parts, which leave the rest alone, or all in one", Nothing,
			after("reads-back", "zeros"), (*tester).parts},
		{"sequence-copies", "4", "the sequence accepted stands in 0021, 003F and 0058", Nothing, nil,
			(*tester).sequenceCopies},
		{"absent-demand", "3", "the demand of an axis that isn't fitted must be 0", Nothing, after("fitted"),
			absentAxis((*tester).absentDemand)},
		{"absent-state", "4", "of an axis that isn't fitted everything reads 0, and its current -32768", Nothing,
			after("fitted"), absentAxis((*tester).absentState)},
		{"absent-rest", "4, 5",
			"detector, band switch, feed turner and wind sensor that aren't fitted read 'not fitted'", Nothing,
			after("map-whole"), (*tester).nothingFitted},
		{"state-bits", "4", "0020: bits 1, 14 and 15 read 0", Nothing, nil, (*tester).idleStateBits},
		{"since-count", "4", "002C, 002D: the time since the last count goes on without one, up to 65535", Nothing,
			after("time"), (*tester).sinceCount},
		{"since-keyed", "4", "0035: the time since keying goes on while not keyed, up to 65535, and is 0 while keyed",
			Nothing, after("time"), (*tester).sinceKeyed},
		{"clean", "4", "002F bit 7: 0 for 300 ms after an output changed, then 1", Nothing, after("time"),
			(*tester).cleanMean},
		{"noise-source", "3", "the noise source goes off after 5 s without a changed sequence", Nothing, after("clean"),
			(*tester).noiseSourceEnds},
		{"gust", "5", "004D, maximum wind of 10 s, is not below 004C, mean of 1 s", Nothing, nil, (*tester).gusts},
		{"spare-readings", "5", "005D to 005F read -32768", Nothing, nil, (*tester).unusedReadings},
		{"uptime", "2", "0002: the seconds since start, as 002A", Nothing, after("time", "map-whole"),
			(*tester).uptime},
		{"dog-at-rest", "7.4", "silence trips nothing while neither power nor permit is given", Nothing,
			after("clears", "period-range"), (*tester).watchdogAtRest},
	}
}

// basicRules are those without which no other order can be tried.
//
//beamhelm:table
func basicRules() []rule {
	return []rule{
		{"permit", "7.8", "the transmit permit comes by a change from 0 to 1, without drive power, is shown in 002F, " +
			"and goes with the order", Permitting, after("at-rest", "clears"), (*tester).permitIsGiven},
		{"applied-truth", "4", "0028, 0029 tell the drive really applied: none without power, whatever is asked",
			Moving, after("fitted", "at-rest"), (*tester).demandWithoutPower},
		{"power", "7.2", "drive power comes on by a change from 0 to 1, within 2 s", Moving, after("at-rest", "clears"),
			(*tester).powerComesOn},
		{"power-off", "7.3", "control bit 0 = 0: power off at once, without a trip", Moving, after("power"),
			(*tester).powerGoesOff},
	}
}

// watchdogRules need something for the watchdog to end.
//
//beamhelm:table
func watchdogRules() []rule {
	return []rule{
		{"dog", "7.4", "no changed sequence for the period of 1 s: trip 0", Either,
			after("clears", "permit", "power-off"), (*tester).watchdog},
		{"dog-permit", "7.4", "the watchdog runs on the transmit permit alone", Permitting, after("dog"),
			(*tester).watchdogOfPermit},
		{"dog-stands", "4, 7.10", "trip 0 stands until it is cleared, by its own bit alone", Either, after("dog"),
			(*tester).tripStands},
		{"dog-period", "3", "0014 is the watchdog's period", Either, after("dog", "period-range"),
			(*tester).watchdogPeriod},
		{"dog-read", "3", "reading doesn't feed the watchdog", Either, after("dog", "dog-period"),
			(*tester).readsFeedNothing},
		{"dog-any-write", "3", "a write without the sequence doesn't feed the watchdog", Either,
			after("dog", "dog-period", "parts"), (*tester).otherWritesFeedNothing},
		{"dog-same", "3", "a write of the same sequence again doesn't feed the watchdog", Either,
			after("dog", "dog-period", "dog-any-write"), (*tester).sameSequenceFeedsNothing},
		{"dog-refused", "1", "a refused write doesn't feed the watchdog", Either,
			after("dog", "dog-period", "refused-whole"), (*tester).refusedFeedsNothing},
		{"dog-functions", "3", "a changed sequence feeds the watchdog by functions 06, 16 and 23", Either,
			after("dog", "dog-period", "parts", "write-06", "write-16", "write-23"), (*tester).everyFunctionFeeds},
		{"dog-at-once", "3", "a new value of 0014 holds at once", Either, after("dog", "dog-period", "dog-any-write"),
			(*tester).newPeriodAtOnce},
		{"dog-begins", "7.4", "the watchdog's time begins at the write that gave the order", Either,
			after("dog", "dog-read", "dog-at-rest", "parts"), (*tester).timeBeginsAtTheOrder},
		{"trip-off", "7.1", "at a trip drive power and transmit permit go off", Either, after("dog", "dog-period"),
			(*tester).offAtATrip},
		{"trip-keeps", "3", "outputs, band and feed turn read as written after trip 0", Either,
			after("dog", "dog-period"), (*tester).slowOrdersStay},
	}
}

// orderRules are those of when transmit permit and drive power come on.
//
//beamhelm:table
func orderRules() []rule {
	return []rule{
		{"permit-clean", "4", "002F bit 7 reads 0 as the transmit permit changes", Permitting, after("permit", "clean"),
			(*tester).permitChangesTheMean},
		{"permit-trip", "7.8", "no transmit permit while a trip stands", Permitting,
			after("permit", "dog-permit", "dog-stands"), (*tester).noPermitWithATrip},
		{"permit-clear", "7.8", "no transmit permit by a write that clears", Permitting, after("permit"),
			(*tester).noPermitWhileClearing},
		{"permit-change", "7.8", "no transmit permit by an order that stood before", Permitting,
			after("permit", "dog-permit", "trip-off"), (*tester).permitByChange},
		{"coming-on", "7.2", "from the order until power is on, 'coming on' is shown", Moving,
			after("power", "power-off"), (*tester).comingOnIsShown},
		{"coming-demand", "7.2", "a demand while power is coming on counts as 0", Moving,
			after("power", "power-off", "applied-truth"), (*tester).noDemandWhileComingOn},
		{"coming-dog", "7.4", "the watchdog runs while power is coming on", Moving,
			after("power", "power-off", "dog-period", "dog-begins"), (*tester).watchdogComingOn},
		{"coming-off", "7.2", "control bit 0 = 0 calls off what is coming on", Moving, after("power", "power-off"),
			(*tester).comingOnIsCalledOff},
		{"power-trip", "7.2", "no drive power while a trip stands", Moving, after("power", "power-off", "dog-stands"),
			(*tester).noPowerWithATrip},
		{"power-clear", "7.2", "no drive power by a write that clears", Moving, after("power", "power-off"),
			(*tester).noPowerWhileClearing},
		{"power-demand", "7.2", "no drive power while 0012 or 0013 holds a demand", Moving, after("power", "power-off"),
			(*tester).noPowerWithADemand},
		{"power-change", "7.2", "no drive power by an order that stood before", Moving,
			after("power", "power-off", "dog", "trip-off"), (*tester).powerByChange},
		{"noise-trip", "3", "the noise source goes off at trip 0", Moving,
			after("power", "power-off", "clean", "dog-period", "dog-read"), (*tester).noiseSourceOffAtATrip},
	}
}

// reversalRules turn the axes.
//
//beamhelm:table
func reversalRules() []rule {
	base := after("power", "power-off", "applied-truth")
	return []rule{
		{"azimuth", "3, 7.7", "azimuth turns by its demand alone, counts, and its drive is shown", Moving, base,
			reversals(0)},
		{"elevation", "3, 7.7", "elevation turns by its demand alone, counts, and its drive is shown", Moving, base,
			reversals(1)},
		{"demand-back", "3", "0012, 0013 read back as written, whatever is applied", Moving, base,
			(*tester).demandReadsBack},
		{"ramp", "2, 7.7", "the applied drive follows the demand at the ramp told in 0007 and 0008", Moving,
			append(base, "azimuth", "elevation", "time"), (*tester).ramps},
		{"speeds", "2", "of fixed speeds the highest that isn't above the demand is applied", Moving,
			append(base, "azimuth", "elevation"), (*tester).fixedSpeeds},
		{"upward", "4", "002F bits 0, 1 tell which way the last count went", Moving,
			append(base, "azimuth", "elevation"), (*tester).upward},
		{"since-turning", "4", "002C, 002D restart at every count", Moving, append(base, "since-count"),
			(*tester).sinceCountWhileTurning},
		{"current-sign", "4", "0026, 0027 have the sign of the drive", Moving, append(base, "azimuth", "elevation"),
			(*tester).currentSign},
		{"peak-current", "5", "005B, 005C, maximum current of 10 s, are not below the mean currents of that time",
			Moving, base, (*tester).peakCurrent},
		{"held-off", "3", "0011 bits 3, 4: the demand of an axis held off counts as 0", Moving, base,
			(*tester).heldOff},
		{"off-applied", "7.3", "control bit 0 = 0: the applied drive goes to 0 at once", Moving, base,
			(*tester).nothingAppliedAfterOff},
		{"trip-applied", "7.1", "at a trip the applied drive goes to 0 at once", Moving,
			append(base, "dog-period", "dog-read", "trip-off"), (*tester).nothingAppliedAtATrip},
	}
}

// handRules can't be tried from the far end of the line.
//
//beamhelm:table
func handRules() []rule {
	row := func(id, section, words string) rule { return rule{id, section, words, Hands, nil, nil} }
	return []rule{
		row("hand-ends", "7.5", "never driven further into an open end switch; with both open not at all"),
		row("hand-panel", "7.6", "hand panel: demands are ignored, its own drive is shown, trip 5 with power on"),
		row("hand-stop", "7.6", "stop circuit: nothing is driven, trip 4 with power on"),
		row("hand-supply", "7.2, 7.9", "drive power that doesn't come on or is lost: trip 6"),
		row("hand-drive", "7.9", "drive faults: trips 1 and 2, without power as well"),
		row("hand-encoder", "7.9",
			"an encoder that doesn't count though its axis is driven: trips 7 and 8, and counts marked unreliable"),
		row("hand-clearing", "7.10", "trips 1, 2, 4, 5 and 6 clear only when their cause is gone"),
		row("hand-start", "2, 3", "a start counts in 0004, and stays counted without power"),
		row("hand-marks", "4", "a mark entered with rising counts latches them and counts"),
		row("hand-keying", "4", "keying: 0035 reads 0, and 002F bit 7 for 300 ms after it"),
		row("hand-brakes", "7.7", "brakes and motion warning work, and 002F bits 4 and 5 tell of the brakes"),
		row("hand-wraps", "4", "counters and times wrap or stay as the page says"),
		row("hand-sending", "1", "what comes in while a reply goes out is ignored"),
	}
}
