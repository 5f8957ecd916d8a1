package ownecho

import (
	"time"

	"beamhelm/app/message"
	"beamhelm/drive/mount"
)

// Request is a run that was asked for. It is not changed once published.
type Request struct {
	Number uint64 // of the press, from 1
	Config Config
	// Stops is how many Stops there had been: one more makes it void.
	Stops uint64
	// MHz and SpreadHz are what the detector needs to know of the echo.
	MHz, SpreadHz float64
	// Beam and Trim are those of a peak: what is fitted, and where its centre is from the target.
	Beam Beam
	Trim mount.Offset
}

// Progress is how the newest run stands, as whoever keys tells it.
type Progress struct {
	// Has says that there is somebody who keys; Trouble why it couldn't now, empty for no trouble.
	Has     bool
	Trouble string
	// Run is the number of the press that it tells of; 0 before the first.
	Run     uint64
	Running bool
	// Key says that the line is ordered high, KeyNow that the operator should key, Countdown until when that changes.
	Key, KeyNow bool
	Countdown   time.Duration
	// Done are cycles begun, Counted those that count, Keyed for how long it was keyed.
	Done, Counted int
	Keyed         time.Duration
	// Place is where a peak wants the beam, 0 to Places-1; Moving: it waits for the beam to come there.
	Place  int
	Moving bool
	// Left is about how long the run still takes.
	Left time.Duration
	// Ended is why it ended early, Refused why it was not begun; Complete: all cycles were done.
	Ended, Refused message.Message
	Complete       bool
	// StillKeyed says that the transmitter stayed keyed though the line was low.
	StillKeyed bool
	// Found is the newest answer, nil before the first; Final says that no better one comes.
	Found *Result
	Final bool
}
